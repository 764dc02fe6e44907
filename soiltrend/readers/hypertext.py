"""HTML pages, and the tables that web portals save under a spreadsheet's name → one grid of cells."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

from soiltrend.readers.decoding import decode
from soiltrend.readers.document import Page, grid_page
from soiltrend.readers.signs import is_web_page

NAME = "html"
EXPLAINED = "web page (.html)"
_HIDDEN = re.compile(r"display\s*:\s*none|visibility\s*:\s*hidden", re.IGNORECASE)
_RAISED_LETTER = re.compile(r"[a-h]")
_RAISED_NUMBERS = re.compile(r"\d(?:,\s?\d)*")
_RAISED_DIGITS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
SILENT = {"script", "style", "head", "template", "noscript", "select", "svg"}
BLOCKS = {
    "p", "div", "br", "li", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "ul", "ol", "section", "article",
    "header", "footer", "main", "pre", "blockquote", "caption", "form", "fieldset", "address",
}  # fmt: skip
VOID = {"br", "hr", "img", "input", "meta", "link", "col", "wbr", "base", "area", "source"}


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is a web page, by its content whatever it is called."""
    return is_web_page(content)


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return one page: each row of a table is a row, each paragraph a row of one cell."""
    return page_of(decode(content, source))


def page_of(text: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return the page that HTML text makes, and what was not read of it."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    reader.flush()
    rows = [(number, cells) for number, cells in enumerate(reader.rows, start=1)]
    hidden = ("Parts of the page are hidden and were not read.",) if reader.left_out else ()
    return (grid_page(rows),), hidden


@dataclass(slots=True)
class _Table:
    """A table being read: the row that is open, and cells that reach down from rows above."""

    cells: list[str] = field(default_factory=list)
    reach: dict[int, int] = field(default_factory=dict)
    in_cell: bool = False
    across: int = 1
    down: int = 1

    def begin(self, across: int, down: int) -> None:
        """Begin a cell at the next place that no cell above reaches into."""
        self.in_cell, self.across, self.down = True, across, down
        self._pass_reached()

    def _pass_reached(self) -> None:
        while self.reach.get(len(self.cells), 0) > 0:
            self.reach[len(self.cells)] -= 1
            self.cells.append("")

    def row(self) -> list[str]:
        """Return the row that is open and begin the next."""
        self._pass_reached()
        row, self.cells = self.cells, []
        return row

    def end(self, text: str) -> None:
        """End the cell that is open."""
        if self.in_cell:
            for column in range(len(self.cells), len(self.cells) + self.across):
                self.reach[column] = self.down - 1
            self.cells += [text, *[""] * (self.across - 1)]
        self.in_cell = False


class _Reader(HTMLParser):
    """Gathers rows; ``text`` is what has been read of the open cell or paragraph."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.rows: list[list[str]] = []
        self.text = ""
        self.tables: list[_Table] = []
        self.silent: list[str] = []
        self.left_out = False
        self.term = ""
        self.before = ""  # what stands before raised letters that are being read
        self.raised = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if self.silent or tag in SILENT or self._is_hidden(tag, told):
            if tag not in VOID:
                self.silent.append(tag)
        elif tag == "table":
            self.flush()
            self.tables.append(_Table())
        elif tag == "tr":
            self._end_row()
        elif tag in ("td", "th") and self.tables:
            self._end_cell()
            self.tables[-1].begin(_count(told.get("colspan")), _count(told.get("rowspan")))
        elif tag == "sup":
            self.before, self.text = self.text, ""
            self.raised = True
        elif tag == "dt":
            self._end_term()
            self._break()
        elif tag == "dd":
            self.term, self.text = self.text.strip(), ""
        elif tag in BLOCKS:
            self._break()

    def handle_endtag(self, tag: str) -> None:
        if self.silent:
            if tag in self.silent:
                del self.silent[self.silent.index(tag) :]
        elif tag in ("td", "th") and self.tables:
            self._end_cell()
        elif tag == "tr":
            self._end_row()
        elif tag == "table" and self.tables:
            self._end_row()
            self.tables.pop()
            self.rows.append([])
        elif tag == "sup" and self.raised:
            self.text = self.before + _mark(self.text)
            self.raised = False
        elif tag in ("dd", "dl"):
            self._end_term()
        elif tag in BLOCKS:
            self._break()

    def handle_data(self, data: str) -> None:
        if not self.silent:
            self.text += data

    def flush(self) -> None:
        """End a paragraph outside tables."""
        if self.text.strip():
            self.rows.append([self.text])
        self.text = ""

    def _is_hidden(self, tag: str, told: dict[str, str]) -> bool:
        hidden = "hidden" in told or bool(_HIDDEN.search(told.get("style", "")))
        self.left_out = self.left_out or (hidden and tag != "input")
        return hidden

    def _end_term(self) -> None:
        """Make a row of a term and what is said of it."""
        if self.term:
            self.rows.append([self.term, self.text])
            self.term = self.text = ""

    def _break(self) -> None:
        """Begin a new line: a row outside tables, a blank within a cell."""
        if self.tables:
            self.text += " "
        else:
            self.flush()

    def _end_cell(self) -> None:
        self.tables[-1].end(self.text)
        self.text = ""

    def _end_row(self) -> None:
        if self.tables:
            self._end_cell()
            row = self.tables[-1].row() if self.tables[-1].cells else []
            if any(cell.strip() for cell in row):
                self.rows.append(row)


def _mark(raised: str) -> str:
    """Return raised letters so that they can be told from the text before them: ``¹``, ``(a)``."""
    text = raised.strip()
    if _RAISED_LETTER.fullmatch(text):
        return f" ({text})"
    return text.translate(_RAISED_DIGITS) if _RAISED_NUMBERS.fullmatch(text) else raised


def _count(text: str | None) -> int:
    return min(int(text), 200) if text and text.strip().isdigit() and int(text) > 0 else 1
