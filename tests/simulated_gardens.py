"""Seeded gardens as long tables: honest ones, and ones with a story planted in them.

Noise is as soiltrend/data/noise.toml states it with its sources (organic matter 10 %, P 20 %, other
nutrients 10 to 30 %, pH 0.15); of its standard deviation 4 parts of 9.1 are shared by all beds of a report
(the year: 4 %; 25 % within fields of LimeSoDa over 15 cores, 5 % of the laboratory), the rest is the bed's
own. Beds differ as beds of one garden do (15 % in organic matter, 30 to 40 % in P, K). Printed values are
rounded as laboratories round (Rayment and Lyons 2011, Soil Chemical Methods - Australasia, appendix 1).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.observations import COLUMNS
from soiltrend.records.models import Amendment, Bed, Garden, Sampling

Array = NDArray[np.float64]
YEAR_SHARE = 4 / 9.1
LAB = "Hillview Soil Laboratory"


@dataclass(frozen=True)
class Soil:
    """One analyte: its usual level, how beds differ, one report's noise, and how it is printed."""

    level: float
    beds: float
    noise: float
    decimals: int
    unit: str = "mg/kg"
    method: str = "mehlich_3"
    raw: bool = False


SOIL: dict[str, Soil] = {
    "ph": Soil(6.4, 0.25, 0.15, 1, "[pH]", "water_1_1", raw=True),
    "organic_matter": Soil(3.2, 0.15, 0.10, 1, "%", "loss_on_ignition"),
    "phosphorus": Soil(45.0, 0.40, 0.20, 0),
    "potassium": Soil(160.0, 0.30, 0.15, 0),
    "calcium": Soil(1400.0, 0.15, 0.12, 0),
    "magnesium": Soil(170.0, 0.20, 0.12, 0),
    "sulfur": Soil(14.0, 0.20, 0.25, 0),
    "zinc": Soil(4.0, 0.30, 0.25, 1),
    "nitrate_n": Soil(18.0, 0.20, 0.30, 0, method="kcl"),
    "cec": Soil(11.0, 0.15, 0.12, 1, "meq/(100.g)", "summation"),
}
# mg/kg for each meq/100 g: IUPAC abridged atomic weights (from memory) over the charge.
CHARGE = {"calcium": 200.39, "magnesium": 121.53, "potassium": 390.98}
ACIDITY = 2.0


@dataclass
class Simulation:
    """A garden before it is printed: arrays of bed × year × analyte on the scale of the noise.

    ``truth`` is the soil, ``noise`` what sampling and the laboratory add, ``slip`` a mistake of the
    laboratory or the clerk (a factor on the log scale); stories write into them.
    """

    rng: np.random.Generator
    beds: list[str]
    years: list[int]
    truth: Array
    noise: Array
    slip: Array
    amendments: list[Amendment] = field(default_factory=list)
    treatments: dict[str, str] = field(default_factory=dict)
    chosen: dict[str, str] = field(default_factory=dict)
    labs: dict[int, str] = field(default_factory=dict)
    methods: dict[tuple[int, str], str] = field(default_factory=dict)
    depths: dict[int, float] = field(default_factory=dict)
    months: dict[int, int] = field(default_factory=dict)
    edits: list[Callable[["Printed"], None]] = field(default_factory=list)

    def index(self, analyte: str) -> int:
        return list(SOIL).index(analyte)


Printed = dict[str, Array]  # analyte → bed × year, as printed


@dataclass(frozen=True)
class Simulated:
    """What the checks are given, and what was planted (``bed``, ``other``, ``year``, ``analyte`` …)."""

    garden: Garden
    observations: pd.DataFrame
    planted: dict[str, object]


def simulate(seed: int, beds: int = 12, years: int = 6, noise: float = 1.0, first: int = 2018) -> Simulation:
    """Flat beds under honest noise of ``noise`` times the stated size."""
    rng = np.random.default_rng(seed)
    soils = list(SOIL.values())
    spread = np.array([s.beds if s.raw else np.sqrt(np.log1p(s.beds**2)) for s in soils])
    wobble = noise * np.array([s.noise if s.raw else np.sqrt(np.log1p(s.noise**2)) for s in soils])
    centre = np.array([s.level if s.raw else np.log(s.level) for s in soils])
    levels = centre + spread * rng.standard_normal((beds, 1, len(soils)))
    shared = YEAR_SHARE * wobble * rng.standard_normal((1, years, len(soils)))
    own = np.sqrt(1 - YEAR_SHARE**2) * wobble * rng.standard_normal((beds, years, len(soils)))
    shape = (beds, years, len(soils))
    return Simulation(
        rng=rng,
        beds=[f"Bed {i + 1}" for i in range(beds)],
        years=[first + i for i in range(years)],
        truth=np.broadcast_to(levels, shape).copy(),
        noise=shared + own,
        slip=np.zeros(shape),
    )


def _printed(sim: Simulation) -> Printed:
    """Round as the laboratory does; CEC is the sum of the cations as they were measured."""
    on_scale = sim.truth + sim.noise
    measured = {
        a: on_scale[:, :, k] if s.raw else np.exp(on_scale[:, :, k]) for k, (a, s) in enumerate(SOIL.items())
    }
    acid = ACIDITY * np.exp(sim.noise[:, :, sim.index("cec")])
    measured["cec"] = acid + sum(measured[a] / charge for a, charge in CHARGE.items())
    slipped = {
        a: v + sim.slip[:, :, sim.index(a)] if SOIL[a].raw else v * np.exp(sim.slip[:, :, sim.index(a)])
        for a, v in measured.items()
    }
    return {a: _rounded(v, SOIL[a].decimals) for a, v in slipped.items()}


def _rounded(values: Array, decimals: int) -> Array:
    return np.maximum(np.round(values, decimals), 10.0**-decimals)


def finish(sim: Simulation, **planted: object) -> Simulated:
    """Print the garden as a long table with the records beside it."""
    printed = _printed(sim)
    for edit in sim.edits:
        edit(printed)
    rows = [
        _row(sim, t, b) | _result(sim, t, analyte, values[b, t]) | {"place": f"row {b + 2} column {analyte}"}
        for t in range(len(sim.years))
        for b in range(len(sim.beds))
        for analyte, values in printed.items()
    ]
    return Simulated(_garden(sim), pd.DataFrame(rows, columns=list(COLUMNS)), planted)


def _row(sim: Simulation, t: int, b: int) -> dict[str, object]:
    year = sim.years[t]
    return {
        "bed": sim.beds[b],
        "sample": sim.beds[b],
        "sampled_on": date(year, sim.months.get(t, 4), 10) + timedelta(days=t % 5),
        "date_basis": "sampled",
        "method_printed": "",
        "depth_from_cm": 0.0,
        "depth_to_cm": sim.depths.get(t, 15.0),
        "lab": sim.labs.get(t, LAB),
        "report": f"{year}-17",
        "source": f"reports/{year}.csv",
        "notes": "",
    }


def _result(sim: Simulation, t: int, analyte: str, value: float) -> dict[str, object]:
    soil = SOIL[analyte]
    return {
        "analyte": analyte,
        "value": float(value),
        "unit": soil.unit,
        "qualifier": "",
        "value_printed": f"{value:.{soil.decimals}f}",
        "unit_printed": soil.unit,
        "method": sim.methods.get((t, analyte), soil.method),
    }


def _garden(sim: Simulation) -> Garden:
    beds = tuple(
        Bed(
            bed=b,
            area_m2=10.0,
            treatment=sim.treatments.get(b, ""),
            chosen_because=sim.chosen.get(b, ""),
            bulk_density_g_cm3=1.3,
        )
        for b in sim.beds
    )
    return Garden(
        folder=Path("garden"),
        name="Larkfield",
        sampling=Sampling(depth_cm=15, cores=15, month=4),
        beds=beds,
        amendments=tuple(sim.amendments),
    )


def honest(seed: int, beds: int = 12, years: int = 6, noise: float = 1.0) -> Simulated:
    """Nothing happened: flat beds, honest noise."""
    return finish(simulate(seed, beds, years, noise))


def oxide_report(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """One report prints phosphorus as P2O5: every bed of it is 2.2914 times too high (P2O5 / 2 P)."""
    sim = simulate(seed, beds, years)
    t = int(sim.rng.integers(years))
    sim.slip[:, t, sim.index("phosphorus")] += np.log(141.943 / (2 * 30.974))
    return finish(sim, year=sim.years[t], analyte="phosphorus", code="unit-mixup")


def acre_report(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """One report prints every element in lb/acre under a heading that says ppm: twice too high."""
    sim = simulate(seed, beds, years)
    t = int(sim.rng.integers(years))
    elements = [k for k, s in enumerate(SOIL.values()) if s.unit == "mg/kg"]
    sim.slip[:, t, elements] += np.log(2.0)
    return finish(sim, year=sim.years[t], code="unit-mixup")


def decimal_slip(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """One potassium value of one bed has its decimal point one place too far right."""
    sim = simulate(seed, beds, years)
    b, t = int(sim.rng.integers(beds)), int(sim.rng.integers(years))
    sim.slip[b, t, sim.index("potassium")] += np.log(10.0)
    return finish(sim, bed=sim.beds[b], year=sim.years[t], analyte="potassium", code="unit-mixup")


def doubling(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """Organic matter of one bed doubles over three years; the others stay as they are."""
    sim = simulate(seed, beds, years)
    b, start = int(sim.rng.integers(beds)), int(sim.rng.integers(max(years - 3, 1)))
    share = np.clip((np.arange(years) - start) / 3.0, 0.0, 1.0)
    sim.truth[b, :, sim.index("organic_matter")] += np.log(2.0) * share
    return finish(sim, bed=sim.beds[b], analyte="organic_matter", code="faster-than-documented")


def swapped(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """Two bags changed places on the way to the laboratory in one year."""
    sim = simulate(seed, beds, years)
    one, two = (int(i) for i in sim.rng.choice(beds, 2, replace=False))
    t = int(sim.rng.integers(years))

    def swap(printed: Printed) -> None:
        for values in printed.values():
            values[[one, two], t] = values[[two, one], t]

    sim.edits.append(swap)
    return finish(sim, beds={sim.beds[one], sim.beds[two]}, year=sim.years[t], code="samples-swapped")


def copied(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """One bed's row of last year was typed again as this year's."""
    sim = simulate(seed, beds, years)
    b, t = int(sim.rng.integers(beds)), int(sim.rng.integers(1, years))

    def copy(printed: Printed) -> None:
        for values in printed.values():
            values[b, t] = values[b, t - 1]

    sim.edits.append(copy)
    return finish(sim, bed=sim.beds[b], year=sim.years[t], code="repeated-values")


def shifted_report(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """One year's cores were too short: organic matter and the nutrients that stay near the top read high.

    6 % organic matter in the top two inches over 2.5 % reads 3.67 with a six-inch core and 4.83 with a
    three-inch core (constructed example, derived): ×1.32; the more stratified P is given ×1.6, K ×1.5,
    Zn ×1.4, Ca and Mg ×1.15 (judgement).
    """
    sim = simulate(seed, beds, years)
    t = int(sim.rng.integers(years))
    factors = {
        "organic_matter": 4.83 / 3.67,
        "phosphorus": 1.6,
        "potassium": 1.5,
        "zinc": 1.4,
        "calcium": 1.15,
        "magnesium": 1.15,
    }
    for analyte, factor in factors.items():
        sim.truth[:, t, sim.index(analyte)] += np.log(factor)
    return finish(sim, year=sim.years[t], code="whole-report-shifted")


def record(sim: Simulation, bed: str, year: int, material: str, rate: tuple[float, str]) -> None:
    """Write an application of the second of May, dug in to 15 cm, into the records."""
    row = Amendment(
        date=date(year, 5, 2), bed=bed, material=material, amount=rate[0], unit=rate[1], mixed_to_cm=15.0
    )
    sim.amendments.append(row)


def doubling_on_a_gallon(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """Organic matter doubles in three years; the records name a gallon of compost per 10 ft² a year."""
    sim = simulate(seed, beds, years)
    b, start = int(sim.rng.integers(beds)), int(sim.rng.integers(max(years - 3, 1)))
    share = np.clip((np.arange(years) - start) / 3.0, 0.0, 1.0)
    sim.truth[b, :, sim.index("organic_matter")] += np.log(2.0) * share
    for year in sim.years:
        record(sim, sim.beds[b], year, "compost", (1.0, "gal/10 ft2"))
    return finish(sim, bed=sim.beds[b], analyte="organic_matter", code="more-than-applied")


def deep_compost(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """Six inches of compost dug in once: organic matter rises by six points the next year, honestly."""
    sim = simulate(seed, beds, years)
    b, t = int(sim.rng.integers(beds)), int(sim.rng.integers(1, years))
    level = np.exp(sim.truth[b, 0, sim.index("organic_matter")])
    sim.truth[b, t:, sim.index("organic_matter")] = np.log(level + 6.0)
    sim.truth[b, t:, sim.index("phosphorus")] += np.log(2.0)
    sim.truth[b, t:, sim.index("potassium")] += np.log(1.8)
    record(sim, sim.beds[b], sim.years[t - 1], "compost", (6.0, "in deep"))
    return finish(sim, bed=sim.beds[b], analyte="organic_matter")


def worst_bed(seed: int, beds: int = 12, years: int = 6) -> Simulated:
    """The bed with the lowest phosphorus of the first report was chosen for a trial; nothing changed."""
    sim = simulate(seed, beds, years)
    phosphorus = sim.index("phosphorus")
    b = int(np.argmin((sim.truth + sim.noise)[:, 0, phosphorus]))
    sim.chosen[sim.beds[b]] = "lowest phosphorus"
    return finish(sim, bed=sim.beds[b], analyte="phosphorus", code="chosen-because-low")


STORIES: dict[str, Callable[[int], Simulated]] = {
    "oxide": oxide_report,
    "acre": acre_report,
    "decimal": decimal_slip,
    "doubling": doubling,
    "gallon": doubling_on_a_gallon,
    "swapped": swapped,
    "copied": copied,
    "shifted": shifted_report,
}
