"""The demo garden's records: what the invented grower wrote down."""

import csv
import io
from collections.abc import Iterable
from datetime import date, timedelta

from tests.generators.demo_soil import PLOTS, YEARS, Weather

# Invented: what a bed of 100 ft2 gives and is given in a season, and how much the seasons differ.
YIELD_LB, YIELD_SPREAD = 84.0, 0.11
WATER_GAL, WATER_SPREAD = 240.0, 0.08
WITH_COMPOST = {"yield": 1.08, "water given": 0.94}

MATERIAL_COLUMNS = (
    *("material", "bulk_density_kg_m3", "dry_matter_pct", "organic_matter_pct"),
    *("n_pct", "p_pct", "k_pct", "source"),
)

GARDEN_TOML = """\
# An invented garden: people, places, laboratories and numbers are made up.
name = "Wrenfield Market Garden"
units = "us"

[sampling]
depth_in = 6
cores = 25
month = 4

[soil]
bulk_density_g_cm3 = 1.3
texture = "loam"
"""

CLAIMS = (
    (
        "Organic matter in South 2 doubled in three years with charged char",
        "South 2",
        "2020-04-01",
        "2023-04-30",
    ),
    ("Organic matter rose slowly in the compost beds", "compost", "2020-04-01", ""),
    ("Organic matter in North 2 went up by about 2 points since 2020", "North 2", "2020-04-01", ""),
    ("Phosphorus more than doubled in North 1 in one year", "North 1", "2020-04-01", "2021-04-30"),
    ("Phosphorus jumped by a third from 2023 to 2024", "", "2023-04-01", "2024-04-30"),
    ("Liming raised the pH of Orchard Strip by half a unit", "Orchard Strip", "2021-04-01", "2023-04-30"),
    ("The compost beds need half as much water as the others", "compost", "2023-01-01", ""),
    ("Yield in South 2 went up 40 % since we started charged char", "South 2", "2020-01-01", ""),
    ("The soil of the whole garden is healthier than ever", "", "", ""),
)


def records(weather: Weather) -> dict[str, str]:
    """Return every record file by its name."""
    return {
        "garden.toml": GARDEN_TOML,
        "beds.csv": _beds(),
        "amendments.csv": _amendments(),
        "materials.csv": _table(
            MATERIAL_COLUMNS,
            [("home compost", 620, 58, 38, 1.3, 0.30, 0.95, "our own analysis, Hollowbrook HB-C-20-11")],
        ),
        "mixes.csv": _table(
            ("mix", "material", "amount", "unit"),
            [
                ("charged char", "wood char", 20, "L"),
                ("charged char", "aged manure", 10, "L"),
                ("charged char", "molasses", 0.5, "L"),
            ],
        ),
        "measurements.csv": _measurements(weather),
        "claims.csv": _table(("claim", "beds", "since", "until"), CLAIMS),
    }  # fmt: skip


def _table(header: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return stream.getvalue()


def _beds() -> str:
    header = ("bed", "area_ft2", "treatment", "assigned", "texture", "also_called", "chosen_because", "notes")
    return _table(
        header,
        [
            (p.name, p.area_ft2, p.treatment, p.assigned, "loam", p.aliases, p.chosen_because, p.notes)
            for p in PLOTS
        ],
    )


def _amendments() -> str:
    rows: list[tuple[str, ...]] = []
    for year in YEARS:
        rows.append((f"{year}-04-25", "compost", "home compost", "0.5", "in deep", "6", "all compost beds"))
        rows.append(
            (f"{year}-05-09", "South 2", "charged char", "0.5", "bucket", "6", "half a 5-gallon bucket")
        )
    rows.append(("2021-10-16", "Orchard Strip", "ground limestone", "8", "lb/100 ft2", "6", "pH was 5.6"))
    header = ("date", "bed", "material", "amount", "unit", "mixed_to_in", "notes")
    return _table(header, sorted(rows))


def _measurements(weather: Weather) -> str:
    rows: list[tuple[str, str, str, str, str, str]] = []
    for year in range(2021, 2027):
        season = 1 + 0.06 * weather.normal()
        for plot in PLOTS:
            pounds = (
                _season(weather, YIELD_LB * season, YIELD_SPREAD, plot.treatment, "yield")
                * plot.area_ft2
                / 100
            )
            rows.append((f"{year}-09-20", plot.name, "yield", f"{pounds:.1f}", "lb", "carrots"))
    for year in range(2023, 2027):
        season = 1 + 0.1 * weather.normal()
        for plot in PLOTS:
            gallons = _season(weather, WATER_GAL * season, WATER_SPREAD, plot.treatment, "water given")
            amount = f"{gallons * plot.area_ft2 / 100:.0f}"
            rows.append((f"{year}-09-30", plot.name, "water given", amount, "gal", "May to September"))
    for week in range(8):
        day = date(2025, 5, 10) + timedelta(days=14 * week)
        warmth = 58 + 2.2 * week - 0.12 * week**2 + 1.5 * weather.normal()
        for bed in ("North 1", "North 2"):
            degrees = f"{warmth + 0.6 * weather.normal():.1f}"
            rows.append((day.isoformat(), bed, "soil temperature", degrees, "degF", "4 in deep, 8 a.m."))
    return _table(("date", "bed", "measure", "value", "unit", "notes"), sorted(rows))


def _season(weather: Weather, usual: float, spread: float, treatment: str, measure: str) -> float:
    helped = WITH_COMPOST[measure] if treatment == "compost" else 1.0
    return usual * helped * (1 + spread * weather.normal())
