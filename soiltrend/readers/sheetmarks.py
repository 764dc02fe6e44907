"""What a spreadsheet's own files say beside its values: hidden rows and columns, cells shown in percent."""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
# ECMA-376 part 1, 18.8.30: built-in number formats 9 (0%) and 10 (0.00%).
PERCENT_FORMATS = {9, 10}
MOST_REPEATS = 2000  # rows and columns that a file repeats to its edge hold nothing


@dataclass(slots=True)
class SheetMarks:
    """Rows and columns (from 0) that are hidden, and cells whose number is shown times 100 with a '%'."""

    rows: set[int] = field(default_factory=set)
    columns: set[int] = field(default_factory=set)
    percents: set[tuple[int, int]] = field(default_factory=set)

    def messages(self, sheet: str) -> list[str]:
        """Say what was not read."""
        said = []
        for what, places in (("row", self.rows), ("column", self.columns)):
            if places:
                names = ", ".join(_name(what, place) for place in sorted(places)[:6])
                more = f" and {len(places) - 6} more" if len(places) > 6 else ""
                plural = "s" if len(places) > 1 else ""
                verb = "are" if len(places) > 1 else "is"
                said.append(f"In the sheet {sheet} {what}{plural} {names}{more} {verb} hidden and not read.")
        return said


def _name(what: str, place: int) -> str:
    if what == "row":
        return str(place + 1)
    letters, rest = "", place + 1
    while rest:
        rest, digit = divmod(rest - 1, 26)
        letters = chr(65 + digit) + letters
    return letters


def marks_of(content: bytes) -> dict[str, SheetMarks]:
    """Return the marks of each sheet by its name; a file that tells none gives an empty dictionary."""
    if not content.startswith(b"PK\3\4"):
        return {}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        names = set(archive.namelist())
        if "content.xml" in names:
            return _of_ods(ElementTree.fromstring(archive.read("content.xml")))
        if "xl/workbook.xml" in names:
            return _of_xlsx(archive, names)
    return {}


def _of_xlsx(archive: zipfile.ZipFile, names: set[str]) -> dict[str, SheetMarks]:
    workbook = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    targets = {
        relation.get("Id"): str(relation.get("Target"))
        for relation in ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    }
    percent_styles = _percent_styles(archive, names)
    found = {}
    for sheet in workbook.iter(f"{MAIN}sheet"):
        target = targets.get(sheet.get(RELATION), "").lstrip("/").removeprefix("xl/")
        if f"xl/{target}" in names:
            tree = ElementTree.fromstring(archive.read(f"xl/{target}"))
            found[str(sheet.get("name"))] = _of_worksheet(tree, percent_styles)
    return found


def _percent_styles(archive: zipfile.ZipFile, names: set[str]) -> set[str]:
    """Return which style numbers show a number in percent."""
    if "xl/styles.xml" not in names:
        return set()
    styles = ElementTree.fromstring(archive.read("xl/styles.xml"))
    own = {
        int(entry.get("numFmtId", "0"))
        for entry in styles.iter(f"{MAIN}numFmt")
        if "%" in re.sub(r'"[^"]*"', "", entry.get("formatCode", ""))
    }
    cells = styles.find(f"{MAIN}cellXfs")
    formats = [] if cells is None else [int(entry.get("numFmtId", "0")) for entry in cells]
    return {str(number) for number, kind in enumerate(formats) if kind in PERCENT_FORMATS | own}


def _of_worksheet(tree: ElementTree.Element, percent_styles: set[str]) -> SheetMarks:
    marks = SheetMarks()
    for column in tree.iter(f"{MAIN}col"):
        if column.get("hidden") in {"1", "true"}:
            last = min(int(column.get("max", "0")), int(column.get("min", "1")) + MOST_REPEATS)
            marks.columns.update(range(int(column.get("min", "1")) - 1, last))
    for position, row in enumerate(tree.iter(f"{MAIN}row")):
        number = int(row.get("r", position + 1)) - 1
        if row.get("hidden") in {"1", "true"}:
            marks.rows.add(number)
        for cell in row.iter(f"{MAIN}c"):
            if cell.get("s") in percent_styles:
                marks.percents.add((number, _column(cell.get("r", ""))))
    return marks


def _column(reference: str) -> int:
    number = 0
    for letter in re.sub(r"[^A-Z]", "", reference):
        number = number * 26 + ord(letter) - 64
    return number - 1


def _of_ods(tree: ElementTree.Element) -> dict[str, SheetMarks]:
    return {str(table.get(f"{TABLE}name")): _of_table(table) for table in tree.iter(f"{TABLE}table")}


def _of_table(table: ElementTree.Element) -> SheetMarks:
    marks = SheetMarks()
    for _ in _repeated(table, "table-column", "number-columns-repeated", marks.columns):
        pass  # only the hidden ones matter, and they are noted on the way
    for number, row in _repeated(table, "table-row", "number-rows-repeated", marks.rows):
        place = 0
        for cell in row:
            if cell.get(f"{OFFICE}value-type") == "percentage":
                marks.percents.add((number, place))
            place += int(cell.get(f"{TABLE}number-columns-repeated", "1"))
    return marks


def _repeated(
    table: ElementTree.Element, kind: str, repeat: str, hidden: set[int]
) -> Iterator[tuple[int, ElementTree.Element]]:
    """Yield rows or columns with their number, noting the hidden ones."""
    place = 0
    for element in table.iter(f"{TABLE}{kind}"):
        times = int(element.get(f"{TABLE}{repeat}", "1"))
        if element.get(f"{TABLE}visibility") in {"collapse", "filter"}:
            hidden.update(range(place, place + min(times, MOST_REPEATS)))
        yield place, element
        place += times
