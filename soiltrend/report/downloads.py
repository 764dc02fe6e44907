"""The data behind the page: links inside it, and machine-readable copies beside it."""

import csv
import io
import json
import math
from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any
from urllib.parse import quote

from soiltrend.checks.finding import Finding
from soiltrend.data import load_toml
from soiltrend.guard import guarded
from soiltrend.observations import COLUMNS
from soiltrend.report.model import Download, Json, ReportInput
from soiltrend.report.numbers import NBSP
from soiltrend.report.rows import is_missing
from soiltrend.report.side import between

# Browsers refuse to save longer data links (2 MiB in Chromium).
LONGEST_LINK = 1_900_000
# Besides letters and digits these stand for themselves in a data link and in an attribute.
_KEPT = "/:;,()[]!*@$=+?_.-~|"
_KEYS = {str, tuple, date}
TREND_KEYS = (
    "bed", "analyte", "unit", "method", "segments", "n", "first_on", "last_on", "first_value", "last_value",
    "slope_per_year", "ci_low", "ci_high", "ci_level", "p_value", "total_change", "smallest_detectable",
    "estimator", "p_adjusted", "verdict",
)  # fmt: skip
_PRINTED = ("arithmetic", "causes")
FINDING_KEYS = ("code", "severity", "bed", "analyte", "text", "next_step")


def observations_csv(given: ReportInput) -> bytes:
    """Return the long table as CSV; text that a spreadsheet would run is guarded."""
    return _csv(COLUMNS, zip(*_columns(given), strict=True))


def copies(given: ReportInput) -> dict[str, bytes]:
    """Return every machine-readable copy by its name below ``out/``."""
    tables = {"observations.csv": observations_csv(given)} | {
        f"{name}.csv": _csv(keys, ([_cell(row.get(key)) for key in keys] for row in rows))
        for name, (keys, rows) in _tables(given).items()
    }
    content = _json(_content(given, whole=True))
    return {**tables, "report.json": content, "datapackage.json": data_package(given, tables)}


def _tables(given: ReportInput) -> dict[str, tuple[Sequence[str], Sequence[Json]]]:
    """Return the tables beside the long one: their columns, as their schema names them, and their rows."""
    rows: dict[str, Sequence[Json]] = {
        "trends": [asdict_keys(trend, TREND_KEYS) for trend in given.trends],
        "findings": [asdict_keys(finding, FINDING_KEYS) for finding in given.findings],
        "comparisons": given.comparisons,
        "balance": given.balance,
        "plan": given.plan,
    }
    return {name: (_columns_of(name), part) for name, part in rows.items()}


def _columns_of(table: str) -> list[str]:
    return [field["name"] for field in load_toml("table_schemas")[table]["fields"]]


def _content(given: ReportInput, *, whole: bool) -> dict[str, Any]:
    """Return the page's content, the objects of each command under its name.

    The copy inside the page leaves out what its tables already print: the rows of balance and plan, and of
    comparisons those of single beds and all but the keys of the table, of findings the arithmetic. Its
    numbers have six figures.
    """
    compared = _columns_of("comparisons")
    content: dict[str, Any] = {
        "garden": given.garden.name,
        "made_on": given.today,
        "version": given.version,
        "files": [asdict(file) for file in given.files],
        "trends": [asdict_keys(trend, TREND_KEYS) for trend in given.trends],
        "garden_trends": [asdict_keys(trend, TREND_KEYS) for trend in given.garden_trends],
        "check": [_finding(finding, whole=whole) for finding in given.findings],
        "compare": [{key: row.get(key) for key in compared} for row in given.comparisons if between(row)],
        "claim": given.claims,
    }
    if whole:
        content |= {"compare": given.comparisons, "balance": given.balance, "plan": given.plan}
    return content


def _finding(finding: Finding, *, whole: bool) -> dict[str, Any]:
    """Return a finding; inside the page without the lines of arithmetic that stand on it."""
    return {key: value for key, value in asdict(finding).items() if whole or key not in _PRINTED}


def data_package(given: ReportInput, tables: Mapping[str, bytes]) -> bytes:
    """Return the descriptor of the CSV files by the Frictionless Data Package standard, version 1."""
    schemas = load_toml("table_schemas")
    package = {
        "profile": "tabular-data-package",
        "name": "soiltrend-garden",
        "title": given.garden.name or "A garden",
        "created": f"{given.today.isoformat()}T00:00:00Z",
        "resources": [
            {
                "profile": "tabular-data-resource",
                "name": name.removesuffix(".csv"),
                "path": name,
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "bytes": len(content),
                "schema": {"fields": schemas[name.removesuffix(".csv")]["fields"], "missingValues": [""]},
            }
            for name, content in tables.items()
        ],
    }
    return json.dumps(package, ensure_ascii=False, indent=1).encode() + b"\n"


def links(given: ReportInput) -> tuple[tuple[Download, ...], dict[str, Download]]:
    """Return the data inside the page, and one table for each bed where the whole is too long for a link."""
    rows = list(zip(*_columns(given), strict=True))
    whole = _link("observations.csv", "text/csv", _csv(COLUMNS, rows))
    rest = _link("report.json", "application/json", _json(_content(given, whole=False), figures=6))
    made = tuple(link for link in (whole, rest) if link is not None)
    return made, {} if whole is not None else _bed_links(given.observations["bed"].tolist(), rows)


def _bed_links(beds: Sequence[str], rows: Sequence[Sequence[Any]]) -> dict[str, Download]:
    parts: dict[str, list[Sequence[Any]]] = {}
    for bed, cells in zip(beds, rows, strict=True):
        parts.setdefault(bed, []).append(cells)
    made = {
        bed: _link(f"bed-{number}.csv", "text/csv", _csv(COLUMNS, part))
        for number, (bed, part) in enumerate(parts.items(), start=1)
    }
    return {bed: link for bed, link in made.items() if link is not None}


def _columns(given: ReportInput) -> list[list[Any]]:
    """Return the long table column by column as CSV cells; a text that comes again is looked at once."""
    return [_cells(given.observations[name].tolist()) for name in COLUMNS]


def _cells(column: Sequence[Any]) -> list[Any]:
    if not all(type(cell) in _KEYS for cell in column):
        return [_cell(cell) for cell in column]
    known = {cell: _cell(cell) for cell in set(column)}
    return [known[cell] for cell in column]


def _link(name: str, kind: str, content: bytes) -> Download | None:
    href = f"data:{kind};charset=utf-8{_shorter(content)}"
    if len(href) > LONGEST_LINK:
        return None
    return Download(name, href, f"{max(1, round(len(content) / 1000))}{NBSP}kB")


def _shorter(content: bytes) -> str:
    """Return the payload of a data link (RFC 2397): base64, or percent-encoded where that is shorter."""
    plain, coded = f",{quote(content, safe=_KEPT)}", f";base64,{b64encode(content).decode('ascii')}"
    return min(plain, coded, key=len)


def asdict_keys(record: Any, keys: Sequence[str]) -> dict[str, Any]:
    """Return the named fields of a data class."""
    return {key: getattr(record, key) for key in keys}


def _csv(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return stream.getvalue().encode()


def _cell(cell: Any) -> Any:
    if isinstance(cell, str):
        return guarded(cell)
    if is_missing(cell):
        return ""
    if isinstance(cell, tuple | list):
        return guarded(";".join(str(part) for part in cell))
    return cell.isoformat()[:10] if hasattr(cell, "isoformat") else cell


def _json(content: Mapping[str, Any], figures: int = 17) -> bytes:
    text = json.dumps(_plain(content, figures), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return f"{text}\n".encode()


def _plain(value: Any, figures: int) -> Any:
    """Turn mappings, tuples, dates and numpy numbers into what JSON knows; 17 figures lose nothing."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item, figures) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item, figures) for item in value]
    if value is None or isinstance(value, str | bool | int):
        return value
    if hasattr(value, "isoformat"):
        return None if is_missing(value) else value.isoformat()[:10]
    number = float(value)
    return float(f"{number:.{figures}g}") if math.isfinite(number) else None
