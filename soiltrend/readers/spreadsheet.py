"""Spreadsheets (xlsx, xls, ods) → one grid of cells a sheet; what is hidden is not read, and said so."""

import io
import zipfile
import zlib
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from soiltrend.errors import UnreadableFile
from soiltrend.readers.document import Page, grid_page
from soiltrend.readers.sheetmarks import SheetMarks, marks_of

NAME = "spreadsheet"
EXPLAINED = "spreadsheet (.xlsx, .xls, .ods)"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MEMBERS = ("xl/workbook.xml", "xl/workbook.bin")
ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is a spreadsheet, by its content: a renamed file is one still."""
    if content.startswith(OLE):
        return True
    if not content.startswith(b"PK\3\4"):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = set(archive.namelist())
            if "mimetype" in names:
                return archive.read("mimetype").startswith(ODS_TYPE)
            return any(member in names for member in MEMBERS)
    except (zipfile.BadZipFile, zlib.error, KeyError, NotImplementedError, RuntimeError, ValueError, OSError):
        return name.lower().endswith((".xlsx", ".ods", ".xlsm"))


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return a page for each visible sheet with something in it.

    Raises
    ------
    UnreadableFile
        The file is damaged or locked with a password.
    """
    from python_calamine import CalamineWorkbook

    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        marks = marks_of(content)
        sheets = [(meta, workbook.get_sheet_by_name(meta.name)) for meta in workbook.sheets_metadata]
        rows = [(meta, sheet.to_python(skip_empty_area=False)) for meta, sheet in sheets]
    except Exception as error:  # calamine raises its own kinds for every format
        raise UnreadableFile(
            f"{source}: expected a spreadsheet, found one that is damaged or locked ({error}). "
            "Open it and save it anew as XLSX or CSV."
        ) from error
    return _pages(rows, marks)


def _pages(
    sheets: Iterable[tuple[Any, Sequence[Sequence[Any]]]], marks: dict[str, SheetMarks]
) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    pages: list[Page] = []
    messages: list[str] = []
    found = list(sheets)
    visible = [meta.name for meta, rows in found if not _hidden(meta) and rows]
    for number, (meta, rows) in enumerate(found, start=1):
        if _hidden(meta):
            messages.append(f"The sheet {meta.name} is hidden and was not read.")
            continue
        mark = marks.get(meta.name, SheetMarks())
        messages += mark.messages(meta.name)
        page = grid_page(
            [(line, cells) for line, cells in _rows(rows, mark)],
            number=number,
            name=meta.name if len(visible) > 1 else "",
        )
        if page.words:
            pages.append(page)
    return tuple(pages), tuple(messages)


def _hidden(meta: Any) -> bool:
    return str(meta.visible).rpartition(".")[2] != "Visible"


def _rows(rows: Sequence[Sequence[Any]], mark: SheetMarks) -> Iterable[tuple[int, list[str]]]:
    for row, cells in enumerate(rows):
        if row not in mark.rows:
            yield (
                row + 1,
                [
                    "" if column in mark.columns else _text(cell, percent=(row, column) in mark.percents)
                    for column, cell in enumerate(cells)
                ],
            )


def _text(cell: Any, *, percent: bool) -> str:
    """Return a cell as a person sees it, as far as the file tells."""
    if cell is None or isinstance(cell, bool):
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, time | timedelta):
        return ""
    if isinstance(cell, int | float):
        return f"{_number(100 * cell)} %" if percent else _number(cell)
    return str(cell).strip()


def _number(value: float) -> str:
    """Return a number without the digits that binary fractions leave behind."""
    if float(value).is_integer() and abs(value) < 1e15:
        return str(int(value))
    return f"{value:.12g}"
