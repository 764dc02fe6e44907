"""CSV files as spreadsheet programs save them → rows that know their line.

The header is line 1. Accepted: UTF-8 and UTF-16 with or without a mark, Windows-1252; comma, semicolon or
tab between cells. A row whose first cell starts with ``#`` and a space is a comment.
"""

import csv
import io
import re
from collections.abc import Collection
from dataclasses import dataclass, field

from soiltrend.errors import Problem
from soiltrend.records import names

DELIMITERS = (",", ";", "\t")
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_BED_NUMBER = re.compile(r"#\s*[A-Za-z]?\d+[A-Za-z]?")


@dataclass(frozen=True, slots=True)
class Row:
    """One record: its line (of a record over several lines, the last) and its cells that are not empty."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """One file: its rows, what is wrong with its shape, and whether semicolons separate it."""

    file: str
    columns: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    problems: tuple[Problem, ...] = ()
    semicolons: bool = False


class NotText(ValueError):  # noqa: N818 -- it names the thing
    """The bytes are no text: a workbook, a picture, a damaged file."""


def decode(content: bytes) -> str:
    """Return the text of ``content`` without its byte order mark.

    Raises
    ------
    NotText
        In none of the encodings that spreadsheet programs and text editors write.
    """
    if content.startswith(_WORKBOOKS):
        raise NotText("a spreadsheet workbook")
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
    ):
        if content.startswith(mark):
            return _decoded(content[len(mark) :], encoding)
    if b"\0" in content[:400]:
        even, odd = content[:400:2].count(0), content[1:400:2].count(0)
        return _decoded(content, "utf-16-le" if odd > even else "utf-16-be")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return _decoded(content, "cp1252")


def _decoded(content: bytes, encoding: str) -> str:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        raise NotText("bytes that are no text") from None
    if "\0" in text:
        raise NotText("bytes that are no text")
    return text


def parse(content: bytes, file: str, columns: Collection[str]) -> Table:
    """Return the rows of one CSV file that may have these ``columns``.

    Problems of its shape (not text, an unknown or repeated column, cells beyond the header, an open quote)
    are in the table; a file without any line has no rows and no problem.
    """
    try:
        text = decode(content)
    except NotText as error:
        advice = "Save it as CSV, UTF-8, from your spreadsheet program."
        return Table(file, problems=(Problem(file, None, None, "a CSV text file", str(error), advice),))
    return _Parser(file, columns).parse(text)


@dataclass(slots=True)
class _Parser:
    file: str
    columns: Collection[str]
    header: list[str] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def parse(self, text: str) -> Table:
        delimiter = self._delimiter(text)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        try:
            for cells in reader:
                self._take([cell.strip() for cell in cells], reader.line_num)
        except csv.Error as error:
            advice = 'Look for a quotation mark (") that is not closed.'
            self._problem(reader.line_num, None, "whole CSV rows", str(error), advice)
        return Table(
            self.file, tuple(self.header), tuple(self.rows), tuple(self.problems), semicolons=delimiter == ";"
        )

    def _delimiter(self, text: str) -> str:
        """Return the sign that cuts the header into the most known columns."""
        first = next((line for line in text.splitlines() if not _is_skipped([line])), "")

        def known(delimiter: str) -> int:
            return sum(_heading(cell) in self.columns for cell in first.split(delimiter))

        best = max(DELIMITERS, key=known)
        return best if known(best) else max(DELIMITERS, key=first.count)

    def _take(self, cells: list[str], line: int) -> None:
        if _is_skipped(cells):
            return
        if not self.header:
            self._take_header(cells, line)
            return
        beyond = [cell for cell in cells[len(self.header) :] if cell]
        if beyond:
            expected = f"{len(self.header)} cells as in the header"
            advice = 'Put quotation marks (") around a text or number with the separating sign in it.'
            self._problem(line, None, expected, f"{len(cells)}, the last {beyond[-1]!r}", advice)
            return
        filled = {name: cell for name, cell in zip(self.header, cells, strict=False) if cell}
        if unnamed := filled.pop("", None):
            self._problem(line, None, "a heading above every cell", repr(unnamed), "Name the column.")
        self.rows.append(Row(line, filled))

    def _take_header(self, cells: list[str], line: int) -> None:
        self.header = [_heading(cell) for cell in cells]
        named = [name for name in self.header if name]
        for name in dict.fromkeys(named):
            if name not in self.columns:
                known = ", ".join(self.columns)
                near = names.nearest(name, self.columns)
                advice = f"Did you mean {near}?" if near else "Take the column out or rename it."
                self._problem(line, name, f"one of the columns {known}", repr(name), advice)
            elif named.count(name) > 1:
                self._problem(line, name, "each column once", f"{named.count(name)} times {name!r}")

    def _problem(self, line: int, column: str | None, expected: str, found: str, advice: str = "") -> None:
        self.problems.append(Problem(self.file, line, column, expected, found, advice))


def _heading(cell: str) -> str:
    return re.sub(r"[\s-]+", "_", cell.strip().strip('"').strip().casefold())


def _is_skipped(cells: list[str]) -> bool:
    """Whether a row is blank, a comment or a spreadsheet program's own ``sep=;`` line."""
    first = cells[0].strip().lstrip('"') if cells else ""
    if not any(cell.strip() for cell in cells) or first.casefold().startswith("sep="):
        return True
    return first == "#" or (first.startswith(("# ", "##")) and not _BED_NUMBER.fullmatch(first.split(",")[0]))
