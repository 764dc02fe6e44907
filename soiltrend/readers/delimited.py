"""CSV and its cousins: any delimiter, quoting and encoding → one grid of cells."""

import csv
import io
import re
from collections import Counter
from pathlib import PurePath
from typing import Literal

from soiltrend.errors import UnreadableFile
from soiltrend.readers.decoding import decode, is_text
from soiltrend.readers.document import Page, grid_page
from soiltrend.readers.signs import is_marked_up

NAME = "csv"
EXPLAINED = "delimited text (.csv, .tsv)"
ENDINGS = {".csv", ".tsv", ".tab"}
DELIMITERS = (";", "\t", "|", ",")
# A quote that is never closed would swallow the rest of the file into one cell.
MOST_LINES_IN_A_CELL = 20
SAMPLE_LINES = 200
_HINT = re.compile(r"^sep=(.)\r?\n", re.IGNORECASE)

Rows = list[tuple[int, list[str]]]


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is delimited text: by its ending, or by columns that stay equal line after line."""
    if content.startswith((b"%PDF", b"PK\3\4", b"\xd0\xcf\x11\xe0")):
        return False
    if is_marked_up(content):
        return False
    ending = PurePath(name).suffix.lower()
    if ending in ENDINGS:
        return True
    try:
        text = decode(content, name)
    except UnreadableFile:
        return False
    return is_text(text) and _is_table(text)


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return one page with the file's cells."""
    text = decode(content, source)
    hint = _HINT.match(text)
    delimiter = hint[1] if hint else _best_delimiter(text)[0]
    rows = _rows(text[hint.end() :] if hint else text, delimiter, source)
    if hint:
        rows = [(line + 1, cells) for line, cells in rows]
    return (grid_page(rows),), ()


def _rows(text: str, delimiter: str, source: str) -> Rows:
    quote = _quote(text, delimiter)
    try:
        rows = _parse(text, delimiter, quote)
        if any(cell.count("\n") > MOST_LINES_IN_A_CELL for _, cells in rows for cell in cells):
            rows = _parse(text, delimiter, None)
    except csv.Error as error:
        raise UnreadableFile(
            f"{source}: expected rows of cells, found text that breaks the rules of CSV ({error}). "
            "Open it in a spreadsheet and save it as CSV or XLSX."
        ) from error
    return rows


def _parse(text: str, delimiter: str, quote: str | None) -> Rows:
    """Return rows numbered by the file's own line, as a person sees it in an editor."""
    quoting: Literal[0, 3] = 0 if quote else 3  # csv.QUOTE_MINIMAL, csv.QUOTE_NONE
    reader = csv.reader(
        io.StringIO(text, newline=""),
        delimiter=delimiter,
        quotechar=quote,
        quoting=quoting,
        skipinitialspace=True,
    )
    rows: Rows = []
    before = 0
    for cells in reader:
        rows.append((before + 1, cells))
        before = reader.line_num
    return rows


def _quote(text: str, delimiter: str) -> str:
    """Tell ``'`` from ``"`` as the quote by what stands next to delimiters."""
    d = re.escape(delimiter)
    single = len(re.findall(rf"(?m)^'|{d}'|'{d}|'$", text))
    double = len(re.findall(rf'(?m)^"|{d}"|"{d}|"$', text))
    return "'" if single > double and single >= 4 else '"'


def _best_delimiter(text: str) -> tuple[str, float]:
    """Return the delimiter under which most rows have cells, and equally many; and the share of such rows."""
    best = (",", 0.0)
    most = -1
    for delimiter in DELIMITERS:
        widths = _widths(text, delimiter)
        wide = sum(width > 1 for width in widths)
        equal = max(Counter(width for width in widths if width > 1).values(), default=0)
        if wide + equal > most:
            most = wide + equal
            best = (delimiter, equal / max(1, len(widths)))
    return best


def _widths(text: str, delimiter: str) -> list[int]:
    lines = [line for line in text.splitlines()[:SAMPLE_LINES] if line.strip()]
    try:
        return [len(cells) for cells in csv.reader(lines, delimiter=delimiter)]
    except csv.Error:
        return [0]


def _is_table(text: str) -> bool:
    """Whether text without a telling ending is a table: a comma alone may be a decimal or a sentence."""
    delimiter, share = _best_delimiter(text)
    if share < 0.5 or "│" in text or len(text.splitlines()) < 2:
        return False
    if delimiter == "|":
        return not re.search(r"(?m)^\s*[|+]", text)  # a drawn frame: the text reader knows it
    if delimiter == ",":
        rows = [line for line in text.splitlines()[:SAMPLE_LINES] if line.strip()]
        return any(len(re.findall(r"(?<!\d),(?! )|,(?![\d ])", line)) >= 2 for line in rows)
    return True
