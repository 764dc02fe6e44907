"""Data to standard output or a file: a table on a terminal, CSV when piped, JSON when asked."""

from __future__ import annotations

import csv
import io
import json
import math
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from soiltrend.errors import SoiltrendError
from soiltrend.files import write_bytes, write_text
from soiltrend.guard import guarded

if TYPE_CHECKING:
    from soiltrend.pipeline.rows import Rows
    from soiltrend.pipeline.views import Block

FORMATS = ("table", "csv", "json")
# What the ending of an output file says; anything else would hold CSV under a false name.
ENDINGS = {"": "csv", ".csv": "csv", ".txt": "csv", ".json": "json", ".parquet": "parquet"}
Records = Sequence[Mapping[str, Any]]


def chosen_format(wanted: str | None, output: Path | None) -> str:
    """Return ``wanted``, else what the ending of ``output`` says, else table (terminal) or CSV (pipe).

    Raises
    ------
    SoiltrendError
        The ending is that of another kind of file.
    """
    if wanted is not None:
        return wanted
    if output is not None:
        if (known := ENDINGS.get(output.suffix.lower())) is None:
            raise SoiltrendError(
                f"--output {output}: expected a name that ends in .csv, .json or .parquet (a spreadsheet "
                "opens .csv), or --format beside it. Nothing was written."
            )
        return known
    return "table" if sys.stdout.isatty() else "csv"


def emit(table: Rows, *, wanted: str | None = None, output: Path | None = None) -> None:
    """Print a table or write it to ``output``; JSON carries every key, CSV the columns, a table its view."""
    style = chosen_format(wanted, output)
    if style == "table":
        _print(table, output)
        return
    if style == "parquet" and output is not None:
        write_bytes(output, as_parquet(table.records, table.columns))
        return
    text = as_json(table.records) if style == "json" else as_csv(table.records, table.columns)
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


def as_parquet(records: Records, columns: Sequence[str]) -> bytes:
    """Return the columns as a Parquet file, verbatim.

    Raises
    ------
    SoiltrendError
        pyarrow, which writes it, is not installed.
    """
    import pandas as pd

    rows = [_plain(record) for record in records]
    frame = pd.DataFrame({name: [row.get(name) for row in rows] for name in columns})
    stream = io.BytesIO()
    try:
        frame.to_parquet(stream, index=False)
    except ImportError as error:
        raise SoiltrendError(
            "Parquet needs one more library: pip install pyarrow. Nothing was written."
        ) from error
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


def _print(table: Rows, output: Path | None) -> None:
    from rich.console import Console

    if output is None:
        _show(table, Console(highlight=False))
        return
    stream = io.StringIO()
    _show(table, Console(file=stream, width=160, highlight=False))
    write_text(output, stream.getvalue())


def _show(table: Rows, console: Any) -> None:
    if not table.records:
        console.print("Nothing to show.")
    elif table.blocks is not None:
        _show_blocks(table.blocks, console)
    else:
        _show_rows(table, console)


def _show_blocks(blocks: Sequence[Block], console: Any) -> None:
    from rich.padding import Padding
    from rich.text import Text

    for block in blocks:
        console.print(Text(block.heading, style="bold"))
        for line in block.lines:
            console.print(Padding(Text(line), (0, 0, 0, 2)))
        console.print()


def _show_rows(table: Rows, console: Any) -> None:
    from rich.table import Table as Grid

    rows = [_plain(row) for row in (table.records if table.view is None else table.view)]
    columns = table.columns if table.view is None else _with_something(rows)
    grid = Grid(box=None, header_style="bold", pad_edge=False, padding=(0, 2, 0, 0))
    for column in columns:
        numeric = all(_is_number(row.get(column)) for row in rows)
        side: Literal["left", "right"] = "right" if numeric else "left"
        grid.add_column(column.replace("_", " "), justify=side, overflow="fold")
    for row in rows:
        grid.add_row(*(_table_cell(row.get(column)) for column in columns))
    console.print(grid)


def _with_something(rows: Records) -> list[str]:
    """Return the columns in which any row says something: an empty one only takes room."""
    return [column for column in rows[0] if any(row.get(column) not in ("", None, []) for row in rows)]


def _is_number(value: Any) -> bool:
    if isinstance(value, str):
        return value == "–" or value.replace(".", "", 1).lstrip("+-−").isdigit()
    return value is None or isinstance(value, int | float)


def _table_cell(value: Any) -> Any:
    from rich.text import Text

    if value is None:
        return Text("–")
    if isinstance(value, float):
        return Text(f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}")
    if isinstance(value, list | dict):
        return Text(_joined(value))
    return Text(str(value))
