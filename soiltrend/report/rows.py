"""The long table as rows of the page."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from soiltrend.observations.table import DUPLICATE
from soiltrend.report.doubts import Doubts
from soiltrend.report.model import Row, Rows, Visit
from soiltrend.report.numbers import reading, with_unit
from soiltrend.report.series import Scale
from soiltrend.report.words import analyte_name, depth, method_name

if TYPE_CHECKING:
    import pandas as pd

USED = (
    "bed", "sample", "sampled_on", "date_basis", "analyte", "value", "unit", "qualifier", "value_printed",
    "unit_printed", "method", "method_printed", "depth_from_cm", "depth_to_cm", "lab", "report",
    "source", "place", "notes",
)  # fmt: skip


def row_id(number: int) -> str:
    """Return the anchor of one row of the long table."""
    return f"r{number}"


def rows_of(table: "pd.DataFrame", doubts: Doubts, system: str) -> dict[str, Rows]:
    """Return the rows of each bed, report by report; the beds in the order of their first row.

    A file that repeats another is left out: its rows stand under the first.
    """
    scales: dict[str, Scale] = {}
    found: dict[str, dict[Visit, list[Row]]] = {}
    copies = copies_of(table)
    for number, record in records(table):
        if record["source"] in copies:
            continue
        scale = scales.setdefault(record["unit"], Scale.of(record["unit"], system))
        visit = _visit(record)
        rows = found.setdefault(record["bed"], {}).setdefault(visit, [])
        rows.append(_row(number, record, scale, doubts, system))
    return {bed: _sorted(visits) for bed, visits in found.items()}


def copies_of(table: "pd.DataFrame") -> dict[str, str]:
    """Return the files of which every row repeats one other file, with that file's name."""
    first: dict[str, set[str]] = {}
    for source, notes in zip(table["source"].tolist(), table["notes"].tolist(), strict=True):
        said = [note.removeprefix(DUPLICATE) for note in _notes(notes) if note.startswith(DUPLICATE)]
        first.setdefault(str(source), set()).add(said[0] if said else str(source))
    return {
        source: other
        for source, found in first.items()
        for other in found
        if len(found) == 1 and other != source
    }


def places_of(rows: Mapping[str, Rows]) -> dict[str, str]:
    """Return the anchor of each reading by its ``source: place``."""
    return {
        f"{visit.source}: {row.place}": row.id
        for part in rows.values()
        for visit, members in part.visits
        for row in members
    }


def _sorted(visits: Mapping[Visit, list[Row]]) -> Rows:
    ordered = sorted(visits.items(), key=lambda item: item[0].day)
    return Rows(tuple((visit, tuple(rows)) for visit, rows in ordered))


def _visit(record: Mapping[str, Any]) -> Visit:
    day, basis = record["sampled_on"], record["date_basis"]
    return Visit(
        day=day.isoformat() if isinstance(day, date) else "no date",
        day_basis="" if basis in ("sampled", "", None) else f"{basis} date",
        lab=record["lab"] or "",
        report=record["report"] or "",
        sample=record["sample"] or "",
        source=record["source"] or "",
    )


def records(table: "pd.DataFrame") -> Iterator[tuple[int, dict[str, Any]]]:
    """Yield each row's number and its cells; what is missing is None, dates are dates, notes a tuple."""
    columns = [_column(table[name].tolist()) for name in USED]
    for number, cells in zip(table.index.tolist(), zip(*columns, strict=True), strict=True):
        record = dict(zip(USED, cells, strict=True))
        record["notes"] = _notes(record["notes"])
        yield int(number), record


def is_missing(cell: Any) -> bool:
    """Whether a cell is None, NaN or NaT (the last two differ from themselves)."""
    return cell is None or bool(cell != cell)  # noqa: PLR0124


def _column(cells: list[Any]) -> list[Any]:
    return cells if all(type(cell) is str for cell in cells) else [_plain(cell) for cell in cells]


def _plain(cell: Any) -> Any:
    if isinstance(cell, str | tuple | list):
        return cell
    if is_missing(cell):
        return None
    return cell.date() if isinstance(cell, datetime) else cell


def _notes(cell: Any) -> tuple[str, ...]:
    if not cell:
        return ()
    return tuple(part for part in cell.split(";") if part) if isinstance(cell, str) else tuple(cell)


def _row(number: int, record: dict[str, Any], scale: Scale, doubts: Doubts, system: str) -> Row:
    analyte = record["analyte"]
    return Row(
        id=row_id(number),
        analyte=analyte,
        name=analyte_name(analyte),
        value=_value(record, scale),
        printed=_printed(record),
        method=method_name(record["method"] or "") or record["method_printed"] or "",
        layer=depth(record["depth_from_cm"], record["depth_to_cm"], system),
        place=record["place"] or "",
        notes=record["notes"],
        doubts=doubts.of_reading(record["source"] or "", record["place"] or "", analyte),
    )


def _value(record: dict[str, Any], scale: Scale) -> str:
    if record["value"] is None:
        return "below its limit" if record["qualifier"] == "<" else "not given"
    number = reading(scale.value(float(record["value"])))
    return with_unit(f"{record['qualifier'] or ''}{number}", scale.unit)


def _printed(record: dict[str, Any]) -> str:
    printed, unit = record["value_printed"] or "", record["unit_printed"] or ""
    return f"{printed} {unit}".strip()
