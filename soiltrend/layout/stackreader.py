"""One stack of names with values right of them, read row by row: which column holds whose results."""

import re
from collections import Counter
from dataclasses import replace

from soiltrend.layout.columns import LEFT_KINDS
from soiltrend.layout.depths import depth_unit, find_layer, is_layer
from soiltrend.layout.entries import Entry, bare, is_result
from soiltrend.layout.finds import (
    WHY_LEFT,
    Assay,
    Find,
    Harvest,
    Spot,
    assay_of,
    method_in,
    parse,
    place_of,
    unit_in,
    with_unit_of_cell,
)
from soiltrend.layout.footnotes import marks_of
from soiltrend.layout.labels import Label, label_of
from soiltrend.layout.lines import Phrase
from soiltrend.layout.ranges import is_range
from soiltrend.layout.reach import names_shares
from soiltrend.layout.sections import ROLES, Section
from soiltrend.layout.stack import Column, Stack, blocks_of, box_of, cell_of
from soiltrend.layout.words import is_statistic, role_of
from soiltrend.layout.zones import Zone, cell, is_number
from soiltrend.values import Result, parse_result
from soiltrend.vocabulary import match_unit, match_unit_cell
from soiltrend.vocabulary.choice import accepts
from soiltrend.vocabulary.sentences import is_everyday

_PIECE = re.compile(r"[.:;]\s")  # 'Crop: beans. Recommended (kg/ha): N 60'
_SIGNS = frozenset({"<", ">", "≤", "≥"})
IDENTITY = ("bed", "sample", "field", "lab_number")


def _of_year(entry: Entry) -> dict[str, str]:
    return {"column_date": entry.label.year} if entry.label.year else {}


def _lead_role(entry: Entry) -> str:
    """Return what a whole line holds by its first words: 'Fertilizer to apply:  N 8  P2O5 0'."""
    said = [p.text for p in entry.line.phrases if p.x0 <= entry.x0]
    pieces = [said[0].rstrip(" :"), *(piece for text in said for piece in _PIECE.split(text)[:-1])]
    return next((role for piece in pieces if (role := role_of(piece)) in ROLES), "")


def _of_lead(entry: Entry, section: str, method: str) -> Label:
    """Return what a name is under the words that lead its line, head its rows or name its method.

    'Percent saturation:  K 3.4  Mg 26.3', and K under 'Base saturation (%)': shares, unless another unit
    stands in the cell.
    """
    left = [p.text for p in entry.line.phrases if p.x0 < entry.x0]
    before = [
        text for text in (*left, *(text.partition(":")[0] for text in left)) if names_shares(bare(text))
    ]
    other_unit = entry.items and match_unit(parse_result(entry.items[0].text).unit) not in ("", "%")
    for lead in (before[-1] if before else "", section, method):
        if other_unit or not names_shares(bare(lead)):
            continue
        whole = label_of(f"{bare(lead)} {bare(entry.label.text)}").analyte
        if whole is not None and whole.kind == "saturation" and whole.is_result:
            return replace(entry.label, analyte=whole)
    beside = label_of(f"{bare(entry.label.text)} {method}") if method else Label("")
    shares = names_shares(bare(entry.label.text)) and beside.names_result
    return beside if shares else entry.label  # 'Base saturation' in each row, 'K' and 'Ca' beside it


def _unit_after_name(entry: Entry) -> str:
    """Return a unit that stands between a name and its result."""
    first = entry.items[0].text if len(entry.items) > 1 else ""
    return first if match_unit_cell(first) and is_result(entry.items[1].text) else ""


def _unit_behind_result(entry: Entry) -> str:
    """Return a unit that stands right behind the only result of a row."""
    results = [item for item in entry.items if is_result(item.text)]
    second = entry.items[1].text if len(entry.items) > 1 else ""
    return second if len(results) == 1 and results[0] is entry.items[0] and match_unit_cell(second) else ""


def _is_strange_unit(unit: str, assay: Assay) -> bool:
    """Whether a unit is printed that the program does not know; a dash or 'pH units' is none."""
    if not unit or match_unit_cell(unit) or assay.unit or assay.analyte in ("ph", "buffer_ph"):
        return False
    return any(c.isalpha() for c in unit) and not role_of(unit)


class StackReader:
    """Reads one stack, row by row; knows which of its columns hold results and of which sample."""

    def __init__(
        self,
        stack: Stack,
        sections: dict[int, Section],
        index: int,
        harvest: Harvest,
        several: bool,
        last: dict[str, str],
        beside: Section = Section(),  # noqa: B008
    ) -> None:
        self.stack = stack
        self.sections = sections
        self.index = index
        self.harvest = harvest
        self.several = several
        self.last = last
        self.beside = beside
        self._fields_of_columns()
        self.values = self._value_columns()
        self.others = [c for c in stack.columns if c not in self.values]
        self.apart = self._rows_apart()

    def read(self) -> None:
        """Take or leave every number of the stack."""
        for entry in self.stack.entries:
            if entry.label.analyte:
                self._row(entry)

    def _value_columns(self) -> list[Column]:
        """Return the columns of results: those called so or dated, else those of numbers with a name."""
        numbers = [c for c in self.stack.columns if c.role in ("numbers", "value") or c.unit]
        if any(c.role == "value" or c.unit for c in numbers):
            return [c for c in numbers if c.role == "value" or c.unit or "column_date" in c.own]
        if self.stack.heading or all(c.own for c in numbers):
            return numbers
        return numbers[:1]

    def _rows_apart(self) -> set[int]:
        """Return the lines of rows below a gap without anything in the columns of results."""
        apart: set[int] = set()
        for rows in blocks_of(self.stack.results) if self.stack.heading else ():
            inside = any(cell_of(entry, column) for entry in rows for column in self.values)
            if not inside and all(entry.items and is_result(entry.items[0].text) for entry in rows):
                apart |= {entry.line.index for entry in rows}
        return apart

    def _fields_of_columns(self) -> None:
        """Give each column what the rows of fields say of it: samples, layers and dates over columns."""
        again = Counter(
            entry.label.field for entry in self.stack.entries if ":" in entry.line.phrases[0].text
        )
        for entry in (*self.stack.above, *self.stack.entries):
            name = entry.label.field
            if not name or name == "other":
                continue
            if len(entry.items) < 2 or again[name] > 1:
                continue  # 'Sample: North bed   Lab ID 231' tells of what stands below, up to the next one
            told = self._over_columns(entry)
            if len(told) >= 2:
                unit = depth_unit(f"{entry.label.text} {self._beside(entry, 'unit')}")
                for column, text in told:
                    if name == "depth" and not (is_number(text) or find_layer(text, unit or "cm")):
                        continue  # the headings of another table: 'Layer', 'North bed', 'South bed'
                    column.own[name] = text
                    if unit and name.startswith("depth"):
                        column.own.setdefault("depth_unit", unit)

    def _value(self, entry: Entry, column: Column) -> str:
        """Return the cell of a column of results; one that stands left of its column counts too.

        A long name pushes its result to the right of the column, and a row below the table has none.
        """
        inside = self._first_of_several(entry, column) or cell_of(entry, column)
        first = entry.items[0] if entry.items else None
        if first is None or column is not self.values[0] or self.stack.columns[0] is column:
            return inside
        pushed = bool(self.stack.heading) and entry.x1 > column.zone.x0
        if not (pushed or self._is_astray(entry, column)) or not is_result(first.text):
            return inside
        return f"{first.text} {inside}" if match_unit(inside) else first.text

    def _is_astray(self, entry: Entry, column: Column) -> bool:
        """Whether a result stands between the name and the column of results, in neither."""
        if not entry.items or column not in self.values[:1] or entry.x1 > column.zone.x0:
            return False
        names, first = self.stack.columns[0], entry.items[0]
        beside = names is not column and names.zone.holds(first.middle)
        return beside and not is_result(cell_of(entry, column))

    def _is_out_of_place(self, entry: Entry, column: Column) -> bool:
        """Whether a number was taken though it stands in no column of results."""
        apart = entry.line.index in self.apart and column not in self.values and not entry.inline
        return apart or self._is_astray(entry, column)

    def _qualified(self, text: str, entry: Entry) -> str:
        """Return the cell with the qualifier of a column of its own: ``<`` before it, ``U`` behind it."""
        mark = self._beside(entry, "qualifier") or self._sign_beside(entry)
        if not text or not mark or parse(text, self.harvest.decimal).status == "not-detected":
            return text
        return f"{mark}{text}" if mark in "<>≤≥=" else f"{text} {mark}"

    def _sign_beside(self, entry: Entry) -> str:
        """Return a lone ``<`` or ``>`` in a column of its own, whatever that column is called."""
        cells = (cell_of(entry, column) for column in self.others)
        return next((text for text in cells if text in _SIGNS), "")

    def _with_limit(self, result: Result, entry: Entry) -> Result:
        """Give a result that was not detected the limit that stands in a column of its own."""
        if result.status != "not-detected" or result.number is not None:
            return result
        limit = parse(self._beside(entry, "limit"), self.harvest.decimal)
        return result if limit.number is None else replace(result, number=limit.number, notes=())

    def _first_of_several(self, entry: Entry, column: Column) -> str:
        """Return the result of a cell that a range fell into, as it does where rows are out of line."""
        inside = [item for item in entry.items if column.zone.holds(item.middle)]
        if len(inside) != 2 or not is_result(inside[0].text) or column.loose:
            return ""
        empty = [c for c in self.stack.columns if c.role in ("range", "limit") and not cell_of(entry, c)]
        if not is_range(inside[1].text) and not (empty and is_result(inside[1].text)):
            return ""
        self.harvest.leave(
            inside[1].text, bare(entry.label.text), self._place(entry, column), WHY_LEFT["range"]
        )
        return inside[0].text

    def _over_columns(self, entry: Entry) -> list[tuple[Column, str]]:
        """Return what a row of fields says of each column: one text for each, or the text over it."""
        columns = [c for c in self.stack.columns if c.role in ("numbers", "value", "")]
        columns = [column for column in columns if not column.zone.holds(entry.x0)]
        if len(columns) == len(entry.items):
            return [(column, item.text) for column, item in zip(columns, entry.items, strict=True)]
        told = [(column, cell_of(entry, column)) for column in columns]
        return [(column, text) for column, text in told if text]

    def _row(self, entry: Entry) -> None:
        own = self._own(entry)
        assay = self._assay(entry)
        why = self._why_left(entry, assay)
        taken = False
        for column in self.values:
            text = self._qualified(self._value(entry, column), entry)
            if text:
                taken = True
                self._take(entry, column, text, assay, own, why)
        outside = entry.inline or not self.stack.heading or entry.line.index in self.apart
        if not taken and outside and entry.items and is_result(entry.items[0].text):
            first = entry.items[0]  # pairs set one behind the other stand in no columns
            self._take(entry, Column(Zone(first.x0, first.x1)), first.text, assay, own, why)
            return
        for column in self.others:
            if not column.field:
                self._leave_other(entry, column)

    def _own(self, entry: Entry) -> dict[str, str]:
        """Return what the row says of its sample; where the cell is empty, the row above counts."""
        own: dict[str, str] = {}
        for column in self.stack.columns:
            if column.field:
                text = cell(entry.line, column.zone)
                if text:
                    own[column.field] = text
                if column.depth_unit:
                    own["depth_unit"] = column.depth_unit
        named = {name: own[name] for name in IDENTITY if name in own}
        if named:
            self.last = named
        elif self.last:
            own = {**self.last, **own}
        elif entry.left and not any(c.field for c in self.stack.columns):
            own["left"] = " ".join(phrase.text for phrase in entry.left)
        return own

    def _assay(self, entry: Entry) -> Assay:
        section = self._section(entry)
        unit = self._beside(entry, "unit") or _unit_after_name(entry) or _unit_behind_result(entry)
        method = self._beside(entry, "method")
        label = _of_lead(entry, section.text, method)
        assay = assay_of(label, unit=unit if match_unit_cell(unit) else "", method=method)
        if not assay.method and method_in(unit, assay.analyte):  # '1:1 water' in the column of units
            assay = replace(assay, method=method_in(unit, assay.analyte), method_printed=unit)
        stated = method_in(method, assay.analyte)
        if stated and assay.method and is_everyday(assay.method):  # 'Effective CEC', by 'Sum of cations'
            assay = replace(assay, method=stated, method_printed=method)
        assay = replace(assay, marks=self._marks(entry, unit, method))
        over = self._over_names(entry)
        if not assay.method and method_in(over, assay.analyte):
            assay = replace(assay, method=method_in(over, assay.analyte), method_printed=over)
        for told in filter(None, (unit_in(over), section.unit)):
            if not assay.unit and accepts(assay.analyte, match_unit(told)):
                assay = replace(assay, unit=match_unit(told), unit_printed=told)
        if not assay.method and method_in(section.text, assay.analyte):
            found = method_in(section.text, assay.analyte)
            notes = (*assay.notes, "method-assumed") if section.inherited else assay.notes
            assay = replace(assay, method=found, method_printed=section.text, notes=notes)
        return assay

    def _marks(self, entry: Entry, unit: str, method: str) -> tuple[str, ...]:
        """Return the marks of footnotes behind a name, its unit or its method."""
        own = [word for word in entry.line.words if entry.x0 <= word.middle <= entry.x1]
        name = Phrase(tuple(own), bare(entry.label.text), entry.x0, entry.x1)
        return marks_of(name, unit, method)

    def _unit_behind(self, entry: Entry, column: Column) -> str:
        """Return the unit right behind a column's cell where no column of units is for all, else ``""``."""
        if self.stack.heading and sum(column.role == "unit" for column in self.stack.columns) < 2:
            return ""
        later = [item for item in entry.items if item.x0 >= column.zone.x1]
        return later[0].text if later and match_unit(later[0].text) else ""

    def _section(self, entry: Entry) -> Section:
        """Return what stands over the stack alone, else the heading of the rows."""
        return self.beside if self.beside.text else self.sections.get(entry.line.index, Section())

    def _over_names(self, entry: Entry) -> str:
        """Return the heading over the names, which may tell the unit of all: 'Micronutrients, ppm'."""
        over = [column.text for column in self.stack.columns if column.zone.holds(entry.x0)]
        return over[0] if over and self.stack.heading else ""

    def _layer_over(self, entry: Entry) -> dict[str, str]:
        """Return the layer that the heading over the names tells of all: 'Micronutrient (0-6")'."""
        section = self._section(entry)
        over = self._over_names(entry)
        brackets = [over, *re.findall(r"\(([^()]*)\)", f"{over} {section.text}")]
        return next(({"depth": text} for text in brackets if is_layer(text)), {})

    def _beside(self, entry: Entry, role: str) -> str:
        for column in self.stack.columns:
            if column.role == role:
                text = cell_of(entry, column)
                if not text and self.stack.heading and self._is_behind(entry, column):
                    text = cell(entry.line, column.zone)  # behind another name: 'P  18  P2O5: 41  CAL'
                if role == "unit" and not match_unit_cell(text):  # a rating ran into the column: 'lb/A  H'
                    inside = [item.text for item in entry.items if column.zone.holds(item.middle)]
                    text = next(filter(match_unit_cell, inside), text)
                if text:
                    return text
        return ""

    def _is_behind(self, entry: Entry, column: Column) -> bool:
        """Whether a column lies right of a row, inside its table."""
        return entry.x1 <= column.zone.x0 < self.stack.right

    def _why_left(self, entry: Entry, assay: Assay) -> str:
        section = self._section(entry)
        role = entry.label.role or section.role or (assay.kind if assay.kind in LEFT_KINDS else "")
        role = role or _lead_role(entry)
        if not role and any(is_statistic(p.text) for p in entry.line.phrases if p.x0 < entry.x0):
            role = "statistic"
        role = role or ("" if assay.analyte else "other")
        unit = self._beside(entry, "unit")
        if not role and _is_strange_unit(unit, assay):
            return f"its unit '{unit}' is not known"
        return WHY_LEFT.get(role, "")

    def _take(
        self, entry: Entry, column: Column, text: str, assay: Assay, own: dict[str, str], why: str
    ) -> None:
        if not why and is_range(text):
            why = WHY_LEFT["range"]
        if why:
            self._leave(entry, column, text, assay.printed, why)
            return
        result = self._with_limit(parse(text, self.harvest.decimal), entry)
        if not assay.method and method_in(result.rating, assay.analyte):  # '34 ppm (bicarb)'
            method = method_in(result.rating, assay.analyte)
            assay = replace(assay, method=method, method_printed=result.rating)
        if result.status == "text":
            self._leave(entry, column, text, assay.printed, "it is no number that can be read")
        if result.status in ("text", "not-run"):
            return
        named = bool(entry.label.analyte and entry.label.analyte.unit) and len(self.values) == 1
        if column.unit and not named:
            assay = with_unit_of_cell(assay, column.text)
        if column.unit and not named and accepts(assay.analyte, column.unit):
            assay = replace(assay, unit=column.unit, unit_printed=unit_in(column.text) or column.text)
        beside = match_unit(result.unit)
        behind = "" if beside else self._unit_behind(entry, column)
        if behind and accepts(assay.analyte, match_unit(behind)):  # '12  ppm  24  lb/acre'
            assay = replace(assay, unit=match_unit(behind), unit_printed=behind)
        if beside and accepts(assay.analyte, beside):  # the unit of the cell itself goes before all others
            assay = replace(assay, unit=beside, unit_printed=result.unit)
        numbers = sum(is_result(item.text) for item in entry.items)
        doubtful = not self.stack.heading and numbers > max(1, len(self.values))
        doubtful = doubtful or self._is_out_of_place(entry, column)
        self.harvest.finds.append(
            Find(
                assay=assay,
                printed=text,
                result=result,
                spot=self._spot(entry, column),
                own={**self._told_above(entry), **own, **column.own, **_of_year(entry)},
                reason=self._reason(entry, column, own),
                notes=("low-confidence",) if doubtful else (),
            )
        )

    def _told_above(self, entry: Entry) -> dict[str, str]:
        section = self._section(entry)
        named = {"section": section.text} if section.plain else {}
        return {**self._layer_over(entry), **named}

    def _leave_other(self, entry: Entry, column: Column) -> None:
        text = cell_of(entry, column)
        if not text or column.zone.holds(entry.x0) or not re.search(r"\d", text):
            return
        if column.role in ("unit", "method", "symbol", "analyte") or not (column.role or column.text):
            return
        why = WHY_LEFT.get(column.role) or (
            f"what the column '{column.text}' holds is not known"
            if column.text
            else "another number stands nearer to the name, and no heading tells them apart"
        )
        self._leave(entry, column, text, bare(entry.label.text), why)

    def _leave(self, entry: Entry, column: Column, text: str, near: str, why: str) -> None:
        place = self._place(entry, column)
        self.harvest.leave(text, near, place, why, self.index, box_of(entry, column))

    def _spot(self, entry: Entry, column: Column) -> Spot:
        place = self._place(entry, column)
        return Spot(self.index, entry.line.index, entry.x0, place, box_of(entry, column))

    def _reason(self, entry: Entry, column: Column, own: dict[str, str]) -> str:
        name = next((own[key] for key in IDENTITY if own.get(key)), "")
        under = f" under '{column.text}'" if column.text else ""
        of = f" in a row of '{name}'" if name else ""
        return f"It stands beside '{bare(entry.label.text)}'{under}{of}."

    def _place(self, entry: Entry, column: Column) -> str:
        return place_of(self.stack.page, entry.line, column.text, several=self.several)
