"""What the records say about the time between two rounds of sampling."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol

import pandas as pd

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


def months_differ(case: Departed, evidence: Evidence) -> bool:
    """Whether the round lies in another part of the year than the panel's other rounds."""
    others = [evidence.round_days[r].month for r in case.panel.rounds if r != case.round]
    month = evidence.round_days[case.round].month
    return bool(others) and all(apart(month, other) > setting("season", "months") for other in others)


def apart(month: int, other: int) -> int:
    """Return how many months lie between two months of the year, the short way round."""
    gap = abs(month - other)
    return min(gap, 12 - gap)
