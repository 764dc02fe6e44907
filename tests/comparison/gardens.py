"""Small gardens as long tables, for comparisons: one line says who was tested when and what came out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from soiltrend.comparison import Comparison, compare
from soiltrend.noise import noise_of
from soiltrend.observations import COLUMNS
from soiltrend.records.models import Amendment, Bed, Garden
from soiltrend.trends import fit_trends

LAB = "Hillview Soil Laboratory"


def report(bed: str, day: date, value: float, **changed: Any) -> dict[str, Any]:
    """One row of the long table: organic matter in percent by loss on ignition, 0 to 15 cm."""
    return {
        "bed": bed,
        "sample": bed,
        "sampled_on": day,
        "date_basis": "sampled",
        "analyte": "organic_matter",
        "value": value,
        "unit": "%",
        "qualifier": "",
        "value_printed": f"{value:.2f}",
        "unit_printed": "%",
        "method": "loss_on_ignition",
        "method_printed": "LOI",
        "depth_from_cm": 0.0,
        "depth_to_cm": 15.0,
        "lab": LAB,
        "report": f"{day.year}",
        "source": f"reports/{day.year}.csv",
        "place": f"row {bed}",
        "notes": "",
    } | changed


@dataclass
class Trial:
    """Beds with their treatment, and reports added as they come in."""

    treatments: Mapping[str, str]
    rows: list[dict[str, Any]] = field(default_factory=list)
    amendments: list[Amendment] = field(default_factory=list)
    beds: dict[str, dict[str, Any]] = field(default_factory=dict)
    noise: dict[str, dict[str, float]] = field(default_factory=dict)

    def test(self, bed: str, year: int, value: float, *, month: int = 4, **changed: Any) -> None:
        self.rows.append(report(bed, date(year, month, 10), value, **changed))

    def lines(
        self,
        years: Iterable[int],
        rates: Mapping[str, float],
        *,
        seed: int | None = None,
        sd: float = 0.1,
        year_effect: Mapping[int, float] | None = None,
        **changed: Any,
    ) -> "Trial":
        """Test every bed each year: 3 % organic matter in the first, rising by ``rates`` (log, a year)."""
        random = np.random.default_rng(seed)
        years = list(years)
        for year in years:
            for bed in self.treatments:
                wobble = sd * random.standard_normal() if seed is not None else 0.0
                shared = (year_effect or {}).get(year, 0.0)
                rise = rates.get(bed, 0.0) * (year - years[0])
                self.test(bed, year, 3.0 * float(np.exp(rise + shared + wobble)), **changed)
        return self

    @property
    def garden(self) -> Garden:
        beds = tuple(
            Bed(bed=bed, treatment=treatment, area_m2=10, **self.beds.get(bed, {}))
            for bed, treatment in self.treatments.items()
        )
        return Garden(folder=Path("garden"), beds=beds, amendments=tuple(self.amendments), noise=self.noise)

    @property
    def observations(self) -> pd.DataFrame:
        return pd.DataFrame(self.rows, columns=list(COLUMNS))

    def compare(self, level: float = 0.95) -> list[Comparison]:
        noise = noise_of(self.garden)
        return compare(self.observations, fit_trends(self.observations, noise), self.garden, noise, level)

    def treatment(self, level: float = 0.95) -> Comparison:
        """The only treatment's comparison."""
        (row,) = [row for row in self.compare(level) if row.kind == "treatment"]
        return row


def trial(treated: int, control: int) -> Trial:
    """Beds ``A1`` … with compost, ``C1`` … without."""
    names = {f"A{i + 1}": "compost" for i in range(treated)}
    return Trial(names | {f"C{i + 1}": "control" for i in range(control)})
