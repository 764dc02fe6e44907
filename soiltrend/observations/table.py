"""The long table's columns and rows, and the table as a frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

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

IMPOSSIBLE_VALUE = "impossible-value"
IMPOSSIBLE_DATE = "impossible-date"
FUTURE_DATE = "future-date"
NOT_IN_FITS = "not-in-fits"
DUPLICATE = "duplicate-of:"
# A row with one of these in its notes is in the table and in no fit.
KEPT_OUT = (IMPOSSIBLE_VALUE, NOT_IN_FITS, DUPLICATE)


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


def to_frame(observations: Iterable[Observation]) -> pd.DataFrame:
    """Return the long table: ``COLUMNS`` in order, one row per observation.

    ``sampled_on`` is a datetime64 column (NaT where no date is known), ``value`` and the depths are floats
    (NaN where there is none), ``notes`` is ``;``-separated, everything else text.
    """
    import pandas as pd

    rows = list(observations)
    columns = {name: [getattr(row, name) for row in rows] for name in COLUMNS}
    columns["notes"] = [";".join(row.notes) for row in rows]
    frame = pd.DataFrame(columns, columns=list(COLUMNS))
    frame["sampled_on"] = pd.to_datetime(pd.Series(columns["sampled_on"], dtype="object"), format="%Y-%m-%d")
    numbers = dict.fromkeys(("value", "depth_from_cm", "depth_to_cm"), "float64")
    texts = {name: "str" for name in COLUMNS if name not in numbers and name != "sampled_on"}
    return frame.astype(numbers | texts)


def usable(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the rows that enter fits, with their index in the long table.

    Left out: rows without value or date, impossible values, duplicates and what is noted ``not-in-fits``, as
    dates in the future are.
    """
    kept_out = frame["notes"].str.split(";").map(lambda notes: any(n.startswith(KEPT_OUT) for n in notes))
    return frame[frame["value"].notna() & frame["sampled_on"].notna() & ~kept_out.astype(bool)]
