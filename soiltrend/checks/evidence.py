"""Everything a check may look at, and the views of it that several checks share."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.checks import panels
from soiltrend.checks.panels import Panel, derived
from soiltrend.checks.weighing import Lines, shared_lines
from soiltrend.noise import Noise
from soiltrend.observations.table import DUPLICATE
from soiltrend.records.models import Bed, Garden
from soiltrend.trends import Trend

if TYPE_CHECKING:
    from soiltrend.balance import Balance

INTP = NDArray[np.intp]
Result = TypeVar("Result")


def _lines(panels: Sequence[Panel], drifting: bool) -> dict[tuple[Any, ...], Lines]:
    shared = shared_lines(panels, drifting)
    return {panel.key: Lines(panel, line, drifting) for panel, line in zip(panels, shared, strict=True)}


@dataclass(frozen=True)
class Evidence:
    """The records, the long table, the fitted trends, the noise and what was put on.

    ``observations`` has the columns of :data:`soiltrend.observations.COLUMNS`; ``balance`` is None where
    no amendments are recorded or none was worked out. The views are made on first use and kept.
    """

    garden: Garden
    observations: pd.DataFrame
    trends: Sequence[Trend]
    noise: Noise
    balance: "Balance | None" = None

    @cached_property
    def table(self) -> pd.DataFrame:
        """The long table with rows numbered from 0."""
        return self.observations.reset_index(drop=True)

    @cached_property
    def measured(self) -> pd.DataFrame:
        """Every row with a value that is no repetition of another row: impossible and undated ones too."""
        table = self.table
        return table[table["value"].notna() & ~table["notes"].str.contains(DUPLICATE, regex=False)]

    @cached_property
    def usable(self) -> pd.DataFrame:
        """The rows that can be compared; see :func:`soiltrend.checks.panels.usable`."""
        return panels.usable(self.table, self.garden.sampling.depth_cm)

    @cached_property
    def panels(self) -> tuple[Panel, ...]:
        """One panel per analyte, unit, method and layer."""
        return panels.panels(self.usable, self.table["value_printed"], self.noise)

    @cached_property
    def telling_panels(self) -> tuple[Panel, ...]:
        """The panels without those that the laboratory works out from cations which are there themselves."""
        cations = any(panel.analyte == "calcium" for panel in self.panels)
        return tuple(panel for panel in self.panels if not (cations and derived(panel.analyte)))

    def lines(self, drifting: bool) -> dict[tuple[Any, ...], Lines]:
        """Return the series of every panel for weighing causes, a slow drift allowed for or not."""
        return self.once(f"lines {drifting}", lambda evidence: _lines(evidence.panels, drifting))

    @cached_property
    def round_days(self) -> list[pd.Timestamp]:
        """The middle day of every round of sampling."""
        return list(self.usable.groupby("round")["day"].median())

    @cached_property
    def memo(self) -> dict[str, Any]:
        """Results that several checks share; see :meth:`once`."""
        return {}

    def once(self, name: str, work: "Callable[[Evidence], Result]") -> "Result":
        """Return ``work(self)``, done once for this evidence."""
        if name not in self.memo:
            self.memo[name] = work(self)
        result: Result = self.memo[name]
        return result

    @cached_property
    def beds(self) -> dict[str, Bed]:
        """The beds of the records, by name."""
        return {bed.bed: bed for bed in self.garden.beds}

    def bed(self, name: str) -> Bed:
        """Return the bed of this name, a bare one where the records do not know it."""
        return self.beds.get(name, Bed(bed=name))

    @cached_property
    def places(self) -> list[str]:
        """``source: place`` of every row."""
        return (self.table["source"].astype(str) + ": " + self.table["place"].astype(str)).tolist()

    @cached_property
    def days(self) -> pd.Series:
        """Date of every row, NaT where unknown."""
        return pd.to_datetime(self.table["sampled_on"], errors="coerce")

    def date_of(self, row: int) -> pd.Timestamp:
        """Return the date of one row of the long table."""
        when: pd.Timestamp = self.days.iloc[row]
        return when

    def places_of(self, rows: INTP | Sequence[int]) -> tuple[str, ...]:
        """Return where these rows of the long table were printed, each place once."""
        return tuple(dict.fromkeys(self.places[int(row)] for row in rows if row >= 0))

    def cell(self, row: int, column: str) -> Any:
        """Return one cell of the long table."""
        return self.table[column].iat[row]
