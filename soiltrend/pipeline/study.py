"""One garden on one day, from a folder of reports to what can be said about the soil.

Each part is worked out when it is first asked for, and once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from soiltrend.intake import Intake, Progress, take_in
from soiltrend.records import load_garden
from soiltrend.records.models import Garden

if TYPE_CHECKING:
    import pandas as pd

    from soiltrend.balance import Balance
    from soiltrend.checks import Finding
    from soiltrend.claims import Evidence as ClaimEvidence
    from soiltrend.comparison import Comparison
    from soiltrend.noise import Noise
    from soiltrend.planning import Plan
    from soiltrend.trends import Trend

OUT = "out"
CACHE = ".cache"


@dataclass(frozen=True)
class Study:
    """One garden on one day, and all that follows from its records.

    ``today`` is the day on which the study is made; nothing in the package reads the clock.
    """

    folder: Path
    today: date
    progress: Progress | None = field(default=None, compare=False)

    @cached_property
    def garden(self) -> Garden:
        """The records folder, validated; RecordsError names every row that cannot be used."""
        return load_garden(self.folder)

    @cached_property
    def intake(self) -> Intake:
        """What each report file says, and the files that gave nothing."""
        return take_in(
            self.garden.reports,
            root=self.folder,
            layouts=self.garden.layouts,
            cache_folder=self.folder / OUT / CACHE,
            progress=self.progress,
            confined=True,
        )

    @cached_property
    def _table(self) -> tuple[pd.DataFrame, tuple[str, ...]]:
        from soiltrend.observations import long_table

        return long_table(self.intake.reports, self.garden, self.today)

    @property
    def observations(self) -> pd.DataFrame:
        """The long table, duplicates marked, corrections applied."""
        return self._table[0]

    @property
    def messages(self) -> tuple[str, ...]:
        """What a person should know about the reading, one sentence each."""
        return (*self.intake.messages, *self._table[1])

    @cached_property
    def noise(self) -> Noise:
        """How much one report of this garden wobbles."""
        from soiltrend.noise import noise_of

        return noise_of(self.garden)

    @cached_property
    def trends(self) -> list[Trend]:
        """One fit per bed, analyte and method."""
        from soiltrend.trends import fit_trends

        return fit_trends(self.observations, self.noise)

    @cached_property
    def garden_trends(self) -> list[Trend]:
        """The garden as a whole, from yearly means."""
        from soiltrend.trends import garden_trends

        return garden_trends(self.observations, self.noise)

    @cached_property
    def balance(self) -> Balance:
        """What was put on each bed."""
        from soiltrend.balance import build

        return build(self.garden, self.today)

    @cached_property
    def comparisons(self) -> list[Comparison]:
        """Amended against unamended beds, and beds against each other."""
        from soiltrend.comparison import compare

        return compare(self.observations, self.trends, self.garden, self.noise)

    @cached_property
    def findings(self) -> list[Finding]:
        """Everything that is hard to believe, the worst first."""
        from soiltrend.checks import Evidence, run_checks

        return run_checks(
            Evidence(
                garden=self.garden,
                observations=self.observations,
                trends=self.trends,
                noise=self.noise,
                balance=self.balance,
            )
        )

    @cached_property
    def plan(self) -> Plan:
        """What next year's sampling can and cannot show."""
        from soiltrend.planning import plan

        return plan(self.observations, self.trends, self.garden, self.noise, self.today)

    @cached_property
    def evidence(self) -> ClaimEvidence:
        """Everything that a statement is held against."""
        from soiltrend.claims import Evidence
        from soiltrend.claims.possible import most_possible

        return Evidence(
            garden=self.garden,
            observations=self.observations,
            trends=self.trends,
            noise=self.noise,
            comparisons=self.comparisons,
            findings=self.findings,
            possible=most_possible(self.balance),
            today=self.today,
        )

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """The usual cautions for what was put on, with their sources."""
        from soiltrend.balance.cautions import cautions_for

        return cautions_for(self.balance)
