"""Small long tables for the tests of trends."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from soiltrend.noise import Noise
from soiltrend.observations import COLUMNS

UNITS = {
    "organic_matter": "%",
    "ph": "[pH]",
    "cec": "meq/(100.g)",
    "phosphorus": "mg/kg",
    "potassium": "mg/kg",
    "calcium": "mg/kg",
    "magnesium": "mg/kg",
    "zinc": "mg/kg",
    "boron": "mg/kg",
    "nitrate_n": "mg/kg",
    "bulk_density": "g/cm3",
}
LEVELS = {
    "organic_matter": 4.0,
    "ph": 6.4,
    "cec": 12.0,
    "phosphorus": 40.0,
    "potassium": 150.0,
    "calcium": 1500.0,
    "magnesium": 180.0,
    "zinc": 3.0,
    "boron": 0.8,
    "nitrate_n": 20.0,
    "bulk_density": 1.2,
}


def rows(values: Sequence[Any], analyte: str = "organic_matter", bed: str = "Bed 1", **more: Any):
    """One row per value, one year apart; a list in ``more`` has one entry per value."""
    made = []
    for i, value in enumerate(values):
        row = {
            "bed": bed,
            "sample": bed,
            "sampled_on": f"{2015 + i}-10-01",
            "date_basis": "sampled",
            "analyte": analyte,
            "value": value,
            "unit": UNITS.get(analyte, "mg/kg"),
            "qualifier": "",
            "value_printed": "",
            "unit_printed": "",
            "method": "m",
            "method_printed": "",
            "depth_from_cm": 0.0,
            "depth_to_cm": 15.0,
            "lab": "Lab A",
            "report": "r",
            "source": "reports/f.csv",
            "place": f"row {i + 2}",
            "notes": "",
        }
        row |= {name: given[i] if isinstance(given, list) else given for name, given in more.items()}
        made.append(row)
    return made


def table(*parts) -> pd.DataFrame:
    """Rows as a long table, dates as dates."""
    frame = pd.DataFrame([row for part in parts for row in part], columns=list(COLUMNS))
    frame["sampled_on"] = pd.to_datetime(frame["sampled_on"])
    return frame


def flat_garden(seed: int, beds: int, years: int, *, noise: float = 1.0, shared: float = 0.0) -> pd.DataFrame:
    """Beds in which nothing changes, with ``noise`` times the stated noise and a shared year effect."""
    rng = np.random.default_rng(seed)
    stated = Noise()
    parts = []
    for analyte in list(LEVELS)[:10]:
        prior = stated.of(analyte, UNITS[analyte])
        year = rng.normal(0, shared * prior.s0, years)
        for bed in range(beds):
            e = year + rng.normal(0, noise * prior.s0, years)
            level = LEVELS[analyte]
            values = level * np.exp(e) if prior.scale == "log" else level + e
            parts.append(rows(values.tolist(), analyte, f"Bed {bed + 1}"))
    return table(*parts)
