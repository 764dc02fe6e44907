"""What the records say about the time between two rounds of sampling."""

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Protocol

import numpy as np
import pandas as pd

from soiltrend.balance import Range
from soiltrend.checks.budget import setting
from soiltrend.checks.evidence import Evidence
from soiltrend.records.models import Amendment

if TYPE_CHECKING:
    from soiltrend.checks.panels import Panel


class Departed(Protocol):
    """Anything that happened in one round of one panel."""

    @property
    def panel(self) -> "Panel":
        """The panel it happened in."""

    @property
    def round(self) -> int:
        """The round it happened in."""


def amendments_of(bed: str | None, evidence: Evidence) -> Iterable[Amendment]:
    """Return the applications to a bed (None: to all beds), to ``all`` and to its treatment included."""
    known = evidence.beds.get(bed or "")
    names = {"all", bed, known.treatment if known else None} - {None, ""}
    lowered = {str(name).lower() for name in names}
    return (row for row in evidence.garden.amendments if row.bed.lower() in lowered)


def put_on_between(bed: str | None, since: int | None, until: int, evidence: Evidence) -> bool:
    """Whether the records name an application to the bed between two rounds (from the start for None)."""
    end = evidence.round_days[until]
    start = evidence.round_days[since] if since is not None else pd.Timestamp.min
    return any(start < pd.Timestamp(row.date) <= end for row in amendments_of(bed, evidence))


def own_effects(
    panel: "Panel", bed: str, span: tuple[date, date], level: float, evidence: Evidence
) -> dict[str, tuple[float, float]]:
    """Return what the balance expects of what was put on: mean and SD on the scale of the panel, by cause.

    The expected range is read as two standard deviations either way; no records, no expectation.
    """
    balance = evidence.balance
    if balance is None or not balance.recorded or level <= 0:
        return {}
    could = balance.possible(bed, panel.analyte, *span, level, method=panel.method, unit=panel.unit)
    if could is None:
        return {}
    effects = {"put-on": _on_scale(could.expected, level, panel.log)}
    if could.char.high > 0:
        effects["char"] = _on_scale(could.char, level, panel.log)
    return effects


def _on_scale(expected: Range, level: float, log: bool) -> tuple[float, float]:
    ends = np.array([expected.low, expected.typical, expected.high])
    if log:
        ends = np.log(np.maximum(level + ends, level / 100) / level)
    return float(ends[1]), max(float(ends[2] - ends[0]) / 4, 0.01)


def months_differ(case: Departed, evidence: Evidence) -> bool:
    """Whether the round lies in another part of the year than the panel's other rounds."""
    others = [evidence.round_days[r].month for r in case.panel.rounds if r != case.round]
    month = evidence.round_days[case.round].month
    return bool(others) and all(apart(month, other) > setting("season", "months") for other in others)


def apart(month: int, other: int) -> int:
    """Return how many months lie between two months of the year, the short way round."""
    gap = abs(month - other)
    return min(gap, 12 - gap)
