"""Data to standard output or a file: a table on a terminal, CSV when piped, JSON when asked."""

import csv
import io
import json
import math
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from soiltrend.files import write_text
from soiltrend.guard import guarded

FORMATS = ("table", "csv", "json")
Records = Sequence[Mapping[str, Any]]


def chosen_format(wanted: str | None, output: Path | None) -> str:
    """Return ``wanted``, else what the ending of ``output`` says, else table (terminal) or CSV (pipe)."""
    if wanted is not None:
        return wanted
    if output is not None:
        return "json" if output.suffix.lower() == ".json" else "csv"
    return "table" if sys.stdout.isatty() else "csv"


def emit(
    records: Records, columns: Sequence[str], *, wanted: str | None = None, output: Path | None = None
) -> None:
    """Print ``records`` or write them to ``output``; ``columns`` is the order of a table and of CSV.

    JSON carries every key of a record, a table and CSV the ``columns`` only.
    """
    style = chosen_format(wanted, output)
    if style == "table":
        _print_table(records, columns, output)
        return
    text = as_json(records) if style == "json" else as_csv(records, columns)
    if output is None:
        sys.stdout.write(text)
    else:
        write_text(output, text)


def as_json(records: Records) -> str:
    """Return a JSON list of objects; dates in ISO form, nothing that is not a finite number."""
    return json.dumps([_plain(row) for row in records], ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def as_csv(records: Records, columns: Sequence[str]) -> str:
    """Return CSV with a header; text that a spreadsheet would run gets an apostrophe in front."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(columns)
    for record in records:
        row = _plain(record)
        writer.writerow([_cell(row.get(column)) for column in columns])
    return stream.getvalue()


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | dict):
        return guarded(_joined(value))
    return guarded(value) if isinstance(value, str) else value


def _joined(value: Any) -> str:
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    if all(isinstance(item, str | int | float) for item in value):
        return "; ".join(str(item) for item in value)
    return json.dumps(value, ensure_ascii=False)


def _plain(value: Any) -> Any:
    """Turn dates, paths, tuples, NaN and numpy numbers into what JSON knows."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(item) for item in value]
    if value is None or isinstance(value, str | bool | int):
        return value
    if hasattr(value, "isoformat"):
        day = value.isoformat()[:10]
        return None if day == "NaT" else day
    if hasattr(value, "item"):
        return _plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return str(value)


def _print_table(records: Records, columns: Sequence[str], output: Path | None) -> None:
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, header_style="bold", pad_edge=False)
    rows = [_plain(record) for record in records]
    for column in columns:
        numeric = any(isinstance(row.get(column), int | float) for row in rows)
        table.add_column(column.replace("_", " "), justify="right" if numeric else "left")
    for row in rows:
        table.add_row(*(_table_cell(row.get(column)) for column in columns))
    if output is None:
        Console(highlight=False, soft_wrap=False).print(table if rows else "Nothing to show.")
        return
    stream = io.StringIO()
    Console(file=stream, width=200, highlight=False).print(table if rows else "Nothing to show.")
    write_text(output, stream.getvalue())


def _table_cell(value: Any) -> Any:
    from rich.text import Text

    if value is None:
        return Text("–")
    if isinstance(value, float):
        return Text(f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}")
    if isinstance(value, list | dict):
        return Text(_joined(value))
    return Text(str(value))
