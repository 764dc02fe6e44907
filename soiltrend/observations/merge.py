"""All reports of a garden and its own measurements → one long table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.layout.reading import ReportReading
from soiltrend.observations.build import observe
from soiltrend.observations.duplicates import mark_duplicates
from soiltrend.observations.table import FUTURE_DATE, NOT_IN_FITS, Observation, to_frame
from soiltrend.records import names
from soiltrend.records.models import Garden, Measurement

if TYPE_CHECKING:
    import pandas as pd

OWN = "measurements.csv"
OWN_METHOD = "own_measurement"


def long_table(
    reports: Sequence[ReportReading], garden: Garden | None, today: date | None = None
) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Return the long table of all reports and own measurements, and what a person should know about it.

    Raises
    ------
    RecordsError
        A correction fits no result of its report, or several.
    """
    observations, messages = merge(reports, garden, today)
    return to_frame(observations), tuple(messages)


def merge(
    reports: Sequence[ReportReading], garden: Garden | None, today: date | None = None
) -> tuple[list[Observation], list[str]]:
    """Return the rows of all reports in their order, duplicates marked, then the garden's measurements."""
    rows: list[Observation] = []
    messages: list[str] = []
    for report in reports:
        found, said = observe(report, garden, today)
        rows += found
        messages += said
    hashes = {report.source: report.sha256 for report in reports}
    marked, said = mark_duplicates(rows, hashes)
    own = own_measurements(garden.measurements, today) if garden else []
    return [*marked, *own], [*messages, *said, *_units_apart(own)]


def own_measurements(measurements: Iterable[Measurement], today: date | None) -> list[Observation]:
    """Return the grower's own measurements as rows: the measure in snake_case, the unit as given."""
    return [
        Observation(
            bed=item.bed,
            sample=item.bed,
            sampled_on=item.date,
            date_basis="sampled",
            analyte=names.measure_name(item.measure),
            value=item.value,
            unit=item.unit,
            value_printed=f"{item.value:.15g}",
            unit_printed=item.unit,
            method=OWN_METHOD,
            source=OWN,
            place=f"line {item.line}",
            notes=(FUTURE_DATE, NOT_IN_FITS) if today is not None and item.date > today else (),
        )
        for item in measurements
    ]


def _units_apart(own: Iterable[Observation]) -> list[str]:
    """Say which measures stand in several units: nothing is compared across them."""
    lines: dict[str, dict[str, str]] = {}
    for row in own:
        lines.setdefault(row.analyte, {}).setdefault(row.unit, row.place)
    return [
        f"{OWN}: {measure.replace('_', ' ')} stands in several units ("
        + ", ".join(f"{unit or 'none'} first in {place}" for unit, place in units.items())
        + "); they are not compared with each other. Write all of it in one unit."
        for measure, units in lines.items()
        if len(units) > 1
    ]
