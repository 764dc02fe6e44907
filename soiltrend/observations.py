"""The long table: its columns, building it from readings, merging reports, marking duplicates."""

from dataclasses import dataclass
from datetime import date

COLUMNS = (
    "bed",
    "sample",
    "sampled_on",
    "date_basis",
    "analyte",
    "value",
    "unit",
    "qualifier",
    "value_printed",
    "unit_printed",
    "method",
    "method_printed",
    "depth_from_cm",
    "depth_to_cm",
    "lab",
    "report",
    "source",
    "place",
    "notes",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One row of the long table; the columns are described in the README."""

    bed: str
    sample: str
    sampled_on: date | None
    date_basis: str
    analyte: str
    value: float | None
    unit: str
    qualifier: str = ""
    value_printed: str
    unit_printed: str = ""
    method: str = ""
    method_printed: str = ""
    depth_from_cm: float | None = None
    depth_to_cm: float | None = None
    lab: str = ""
    report: str = ""
    source: str
    place: str
    notes: tuple[str, ...] = ()
