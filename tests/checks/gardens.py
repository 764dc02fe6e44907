"""Small gardens for the checks: long tables from a few rows, evidence around them."""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

import pandas as pd

from soiltrend.balance import build
from soiltrend.checks import Evidence, Finding, run_checks
from soiltrend.noise import Noise
from soiltrend.observations import Observation, to_frame
from soiltrend.records.models import Amendment, Bed, Garden, Sampling
from soiltrend.trends import fit_trends
from tests.simulated_gardens import SOIL, Simulated

TODAY = date(2030, 1, 1)


def row(bed: str, year: int, analyte: str, value: float | None, **more: object) -> Observation:
    """One result of a bed in April of a year; ``more`` overrides any column."""
    soil = SOIL.get(analyte)
    usual: dict[str, object] = {
        "bed": bed,
        "sample": bed,
        "sampled_on": date(year, 4, 10),
        "date_basis": "sampled",
        "analyte": analyte,
        "value": value,
        "unit": soil.unit if soil else "%",
        "value_printed": "" if value is None else f"{value:g}",
        "method": soil.method if soil else "",
        "depth_from_cm": 0.0,
        "depth_to_cm": 15.0,
        "lab": "Hillview Soil Laboratory",
        "source": f"reports/{year}.csv",
        "place": f"{bed} {analyte}",
    }
    return Observation(**(usual | more))  # type: ignore[arg-type]


def series(
    bed: str, analyte: str, values: Sequence[float], first: int = 2018, **more: object
) -> list[Observation]:
    """One result a year."""
    return [row(bed, first + i, analyte, value, **more) for i, value in enumerate(values)]


def garden(beds: Iterable[Bed] = (), amendments: Iterable[Amendment] = (), depth_cm: float = 15.0) -> Garden:
    return Garden(
        folder=Path("garden"),
        beds=tuple(beds),
        amendments=tuple(amendments),
        sampling=Sampling(depth_cm=depth_cm, cores=15, month=4),
    )


def applied(bed: str, on: date, material: str, amount: float, unit: str) -> Amendment:
    return Amendment(date=on, bed=bed, material=material, amount=amount, unit=unit, mixed_to_cm=15.0)


def evidence(rows: Sequence[Observation] | pd.DataFrame, records: Garden | None = None) -> Evidence:
    """The evidence around a long table: noise of 15 cores, trends fitted, amendments balanced."""
    table = rows if isinstance(rows, pd.DataFrame) else to_frame(rows)
    records = records or garden()
    noise = Noise(cores=15)
    return Evidence(records, table, fit_trends(table, noise), noise, build(records, TODAY))


def simulated_evidence(simulated: Simulated) -> Evidence:
    """The same without trends, which cost the most and serve only the check of too few years."""
    noise = Noise(cores=15)
    records = simulated.garden
    return Evidence(records, simulated.observations, (), noise, build(records, TODAY))


def findings_of(simulated: Simulated) -> list[Finding]:
    return run_checks(simulated_evidence(simulated))
