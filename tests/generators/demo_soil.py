"""The demo garden's soil: what is in each bed each spring, and what one composite sample of it shows.

Nothing here is measured; the garden is invented. Sizes are of ordinary loam; the change under compost lies
inside what published garden trials report, and one bed changes faster than anything put on it allows.
"""

import random
from dataclasses import dataclass
from statistics import NormalDist

YEARS = range(2020, 2027)
ELEMENTS = ("p", "k", "ca", "mg", "na", "s", "zn")

# One composite of 25 cores at one laboratory: coefficients of variation (pH: units) of the bag and of the
# year, which all beds share. Together no larger than the project's stated noise of one report.
BAG = {
    "om": 0.055,
    "p": 0.13,
    "k": 0.10,
    "ca": 0.08,
    "mg": 0.08,
    "na": 0.18,
    "s": 0.20,
    "zn": 0.16,
    "ph": 0.10,
}
YEAR = {
    "om": 0.02,
    "p": 0.05,
    "k": 0.05,
    "ca": 0.03,
    "mg": 0.03,
    "na": 0.10,
    "s": 0.12,
    "zn": 0.06,
    "ph": 0.05,
}


@dataclass(frozen=True)
class Plot:
    """One bed: its names at the three laboratories, its records, its soil in spring 2020."""

    name: str
    first_lab: str
    second_lab: str
    third_lab: str
    area_ft2: int
    treatment: str
    assigned: str
    start: dict[str, float]
    aliases: str = ""
    chosen_because: str = ""
    notes: str = ""


def _soil(*values: float) -> dict[str, float]:
    return dict(zip(("om", "ph", *ELEMENTS), values, strict=True))


PLOTS = (
    Plot(
        "North 1", "N1", "NORTH 1", "North-1", 100, "control", "random",
        _soil(3.1, 6.4, 42, 150, 1450, 190, 18, 11, 1.6), aliases="N1",
    ),
    Plot(
        "North 2", "N2", "NORTH 2", "North-2", 100, "compost", "random",
        _soil(2.7, 6.3, 34, 135, 1350, 175, 16, 10, 1.2), aliases="N2",
    ),
    Plot(
        "North 3", "N3", "NORTH 3", "North-3", 100, "compost", "random",
        _soil(3.0, 6.5, 40, 160, 1500, 200, 20, 12, 1.5), aliases="N3",
    ),
    Plot(
        "South 1", "S1", "SOUTH 1", "South-1", 100, "control", "random",
        _soil(2.8, 6.2, 30, 120, 1250, 160, 15, 9, 0.5), aliases="S1",
    ),
    Plot(
        "South 2", "S2", "SOUTH 2", "South-2", 100, "charged char", "chosen",
        _soil(2.2, 6.3, 36, 130, 1300, 170, 17, 10, 1.1), aliases="S2", notes="char trial",
    ),
    Plot(
        "South 3", "S3", "SOUTH 3", "South-3", 120, "compost", "random",
        _soil(3.3, 6.6, 55, 190, 1650, 220, 22, 13, 2.4), aliases="S3",
    ),
    Plot(
        "Orchard Strip", "Orchard", "ORCHARD STRIP", "Orchard strip", 240, "lime", "chosen",
        _soil(3.4, 5.6, 28, 140, 950, 120, 14, 10, 1.3), aliases="Orchard", chosen_because="lowest pH",
    ),
    Plot(
        "Kitchen Bed", "Kitchen", "KITCHEN BED", "Kitchen bed", 60, "control", "chosen",
        _soil(4.6, 6.8, 95, 260, 2100, 290, 28, 16, 4.2), aliases="Kitchen; House bed",
        notes="nearest the house, old compost heap",
    ),
)  # fmt: skip

# Per year, from the first compost in spring 2020 on.
UNDER_COMPOST = {"om": 0.40, "ph": 0.02, "p": 8.0, "k": 14.0, "ca": 40.0, "mg": 7.0, "s": 0.4, "zn": 0.15}
UNDER_CHAR = {"p": 1.0, "k": 3.0}
# Planted: organic matter of South 2 doubles from 2020 to 2023, and goes on.
CHAR_ORGANIC_MATTER = dict(zip(YEARS, (2.2, 2.9, 3.8, 4.8, 5.0, 5.4, 5.8), strict=True))
LIMED_FROM = 2022  # limestone in October 2021
LIME = {"ph": 0.6, "ca": 420.0}


def true_soil(plot: Plot, year: int) -> dict[str, float]:
    """Return what the bed holds: OM in %, pH, elements in mg/kg as the first laboratory extracts them."""
    soil = dict(plot.start)
    rates = {"compost": UNDER_COMPOST, "charged char": UNDER_CHAR}.get(plot.treatment, {})
    for name, rate in rates.items():
        soil[name] += rate * (year - YEARS[0])
    if plot.treatment == "charged char":
        soil["om"] = CHAR_ORGANIC_MATTER[year]
    if plot.treatment == "lime" and year >= LIMED_FROM:
        for name, step in LIME.items():
            soil[name] += step
    return soil


class Weather:
    """Draws of one normal distribution, the same on every machine."""

    def __init__(self, start: int) -> None:
        self._source = random.Random(start)
        self._normal = NormalDist()

    def normal(self) -> float:
        """Return one draw with mean 0 and standard deviation 1, no further out than 2.5."""
        while True:
            drawn = self._normal.inv_cdf(self._source.random() or 0.5)
            if abs(drawn) <= 2.5:
                return drawn

    def year(self) -> dict[str, float]:
        """Return what all beds of one sampling share."""
        return {name: spread * self.normal() for name, spread in YEAR.items()}

    def bag(self, soil: dict[str, float], year: dict[str, float]) -> dict[str, float]:
        """Return what the laboratory finds in one bag of ``soil``."""
        found = {}
        for name, value in soil.items():
            error = year[name] + BAG[name] * self.normal()
            found[name] = value + error if name == "ph" else value * (1 + error)
        return found
