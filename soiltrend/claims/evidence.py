"""Everything a statement is held against."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.checks.finding import Finding
from soiltrend.comparison import Comparison
from soiltrend.noise import Noise
from soiltrend.records.models import Garden
from soiltrend.trends import Trend

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class Limit:
    """The highest level that what was put on allows at the end; ``lines`` are the arithmetic."""

    most: float
    text: str
    lines: tuple[str, ...] = ()


Possible = Callable[[str, Trend], Limit | None]


def _no_limit(_bed: str, _trend: Trend) -> Limit | None:
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the records carry.

    ``possible`` gives the highest level that what was put on a bed allows at the end of a fitted series, or
    None where nothing bounds it; ``today`` is the day of the study.
    """

    garden: Garden
    observations: pd.DataFrame
    trends: Sequence[Trend]
    noise: Noise
    comparisons: Sequence[Comparison] = ()
    findings: Sequence[Finding] = ()
    possible: Possible = field(default=_no_limit)
    today: date
