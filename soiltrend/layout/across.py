"""Tables with analytes across: a heading line names results, each line below is a sample."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from soiltrend.layout import headings
from soiltrend.layout.columns import Heading, give_unit
from soiltrend.layout.dates import find_date, is_date
from soiltrend.layout.finds import WHY_LEFT, Find, Harvest, Spot, parse, place_of, unit_of_title
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line
from soiltrend.layout.measures import first_cell, is_measure, measured
from soiltrend.layout.naming import is_number_of_lab
from soiltrend.layout.stackcolumns import is_heading
from soiltrend.layout.words import field_of, is_statistic, is_total, role_of
from soiltrend.layout.zones import cell, cell_words, is_number
from soiltrend.readers.document import Box, Page, box_around
from soiltrend.values import is_rating

# Lines without a result that may stand between two rows of one table (blank ones are not counted).
IDLE_LINES = 3
FOOTER_LINES = 4  # lines of a page's head and foot around a table that goes on
MANY_ROWS = 4  # rows without a name, layer or date
TITLE_LINES = 2
TITLE_ROLES = {"recommendation", "previous", "range"}
ROW_ROLES = {
    "range",
    "recommendation",
    "limit",
    "previous",
    "rating",
    "method",
    "unit",
    "deviation",
    "uncertainty",
    "ignored",
}
NAMING = {"bed", "sample", "field"}
ROWS_LOOKED = 30  # rows in which a column of names is looked for
_WORD = re.compile(r"[^\W\d_]{3}")
_TELLS = re.compile(r":\s*\S")  # 'Suggested application: N 95' tells something and heads nothing
_BRACKETED = re.compile(r"\([^()]*[^\W\d_]{2}[^()]*\)")
IDENTITY = ("bed", "sample", "field", "lab_number")


@dataclass(slots=True)
class Table:
    """One table being read: its columns, and what the rows above left for the next."""

    page: Page
    page_index: int
    several: bool
    columns: list[Heading]
    group: str = ""
    role: str = ""
    counts: bool = False  # its rows are units, no samples
    last: dict[str, str] = field(default_factory=dict)

    def fields(self, line: Line) -> dict[str, str]:
        """Return what the row says of its sample: field → printed text."""
        found: dict[str, str] = {}
        for column in self.columns:
            text = _whole_name(line, column) if column.label.field in NAMING else cell(line, column.zone)
            if column.label.field and text:
                if (
                    column.label.field == "sample"
                    and _is_number(found.get("sample", ""))
                    and _WORD.search(text)
                ):
                    found["lab_number"] = found.pop("sample")  # 'Probe-Nr. 1, Bezeichnung Hofacker'
                found.setdefault(column.label.field, text)
                if column.depth_unit:
                    found.setdefault("depth_unit", column.depth_unit)
        return found

    @property
    def results(self) -> list[Heading]:
        """The columns whose heading names an analyte."""
        return [column for column in self.columns if column.label.analyte]


def _is_number(sample: str) -> bool:
    return sample.isdigit() or is_number_of_lab(sample)


def _whole_name(line: Line, column: Heading) -> str:
    """Return a name with the words of its phrase that reach out of the column to the left."""
    text = cell(line, column.zone)
    for phrase in line.phrases:
        outside = [word.text for word in phrase.words if word.middle < column.zone.x0]
        inside = column.zone.overlap(phrase) * 2 > phrase.x1 - phrase.x0
        if outside and inside and not any(c.isdigit() for c in "".join(outside)):
            return f"{' '.join(outside)} {text}"
    return text


def read_tables(
    lines: Sequence[Line],
    page: Page,
    index: int,
    harvest: Harvest,
    *,
    several: bool,
    before: Table | None = None,
) -> tuple[set[int], Table | None]:
    """Read every such table of a page into ``harvest``.

    ``before`` is the table that the page before ended with: its rows may go on here without headings.
    Returns the lines that belong to a table, and the table that the page ends with.
    """
    used, position, table = _go_on(before, lines, page, index, harvest)
    while position < len(lines):
        found = headings.find(lines, position, page)
        if found is None:
            position += 1
            continue
        table = Table(page, index, several, found.columns, role=_role_above(lines, position, page))
        _let_words_name(table, lines[found.body : found.body + ROWS_LOOKED])
        give_unit(table.results, unit_of_title(_title(lines, position)))
        before_rows = len(harvest.finds)
        end = _read_rows(table, lines, found, harvest)
        _leave_nameless(harvest, before_rows)
        told = [
            i for i in range(found.body, end) if len(lines[i].phrases) == 1 and headings.is_prose(lines[i])
        ]
        used.update({*range(found.first, end)} - {*told})  # a sentence between rows tells of the whole report
        position = max(end, position + 1)
    return used, (table if table and len(lines) - max(used, default=0) <= FOOTER_LINES + 1 else None)


def _let_words_name(table: Table, rows: Sequence[Line]) -> None:
    """Where no column is called a sample's, let the first column of differing words name the rows."""
    if any(column.label.field in NAMING for column in table.columns):
        return
    filled = [line for line in rows if _has_numbers(table, line)]
    for column in table.columns:
        known = column.label.analyte or column.label.field or column.label.role or column.depth_unit
        if known or (not column.text and column is not table.columns[0]):
            continue
        texts = [text for line in filled if (text := cell(line, column.zone))]
        worded = [text for text in texts if _WORD.search(text) and not _says_else(text)]
        differ = len(set(worded)) * 2 >= len(worded) > 1 and len(set(worded)) > 1
        if differ and len(worded) == len(texts):
            column.label = replace(column.label, field="field")
            return


def _has_numbers(table: Table, line: Line) -> bool:
    cells = (cell_words(line, column.zone) for column in table.results)
    return any(is_number(word.text) for words in cells for word in words)


def _says_else(text: str) -> bool:
    """Whether a text is a rating, a date or a unit and names nothing."""
    return is_rating(text) or is_date(text) or is_measure(text)


def _is_sentence(line: Line) -> bool:
    """Whether a line between rows is running text, which tells of the whole report."""
    return len(line.phrases) == 1 and headings.is_prose(line)


def _leave_nameless(harvest: Harvest, start: int) -> None:
    """Leave many rows that nothing names or dates alone: the numbers along the axis of a drawing are such."""
    new = harvest.finds[start:]
    if len({find.spot.line for find in new}) < MANY_ROWS or any(find.own for find in new):
        return
    del harvest.finds[start:]
    for find in new:
        why = WHY_LEFT["nameless"]
        harvest.leave(find.printed, find.assay.printed, find.spot.place, why, find.spot.page, find.spot.box)


def _go_on(
    before: Table | None, lines: Sequence[Line], page: Page, index: int, harvest: Harvest
) -> tuple[set[int], int, Table | None]:
    """Read the rows at the head of a page that belong to the table of the page before."""
    if before is None or page.medium != before.page.medium or page.medium == "grid":
        return set(), 0, None
    table = replace(before, page=page, page_index=index)
    used: set[int] = set()
    position = 0
    while position < len(lines) and position - len(used) <= FOOTER_LINES:
        line = lines[position]
        if headings.starts_here(lines, position):
            break
        if _fits(table, line) and _read_row(table, line, harvest):
            used.add(position)
        elif used:
            break
        position += 1
    return used, max(used, default=-1) + 1, table if used else None


def _fits(table: Table, line: Line) -> bool:
    """Whether a line without headings over it has a number in nearly every column of results."""
    filled = sum(is_number(cell(line, column.zone)) for column in table.results)
    return filled >= 2 and filled * 4 >= 3 * len(table.results)


def _title(lines: Sequence[Line], position: int) -> str:
    """Return the nearest line above the headings that is one phrase and tells nothing of a sample."""
    for line in reversed(lines[max(0, position - TITLE_LINES) : position]):
        if len(line.phrases) == 1 and not headings.is_pair_line(line):
            return "" if headings.is_prose(line) and line.text.endswith(".") else line.text
    return ""


def _role_above(lines: Sequence[Line], position: int, page: Page) -> str:
    """Return what the whole table holds by the title over it or before its names: rates, earlier results."""
    if role_of(page.name) in TITLE_ROLES:
        return role_of(page.name)  # a sheet called 'Lime & fertilizer'
    first = lines[position].phrases[0].text
    if not field_of(first) and role_of(first) in TITLE_ROLES and not label_of(first).analyte:
        return role_of(first)  # 'Suggested treatment (lbs/A)   N   P2O5   K2O'
    for line in reversed(lines[max(0, position - TITLE_LINES) : position]):
        if len(line.phrases) == 1 and not headings.is_pair_line(line) and not _TELLS.search(line.text):
            role = role_of(line.text)
            if role in TITLE_ROLES:
                return role
    return ""


def _read_rows(table: Table, lines: Sequence[Line], found: headings.Found, harvest: Harvest) -> int:
    """Read the rows below the headings; return the position behind the last one."""
    end = position = found.body
    idle = 0
    _let_days_count(table)
    while position < len(lines) and idle <= IDLE_LINES:
        line = lines[position]
        if found.repeats(line):
            end = position + 1
        elif headings.starts_here(lines, position) or (end > found.body and _begins_another(line)):
            break
        elif _read_row(table, line, harvest, _rest_of_name(table, lines, position)):
            idle, end = 0, position + 1
        else:
            idle += 1
            table.group = _group(line) or table.group
        position += 1
    return end


def _begins_another(line: Line) -> bool:
    """Whether a table with names down begins: with a name, or with its headings."""
    return headings.begins_names_down(line) or is_heading(line)


def _group(line: Line) -> str:
    """Return the text of a line that can only be a heading of the rows below it."""
    if len(line.phrases) != 1 or len(line.text) > 40 or is_number(line.text):
        return ""
    return line.text.rstrip(":")


def _rest_of_name(table: Table, lines: Sequence[Line], position: int) -> str:
    """Return what stands alone in brackets below a sample's name on the next line of a text: '(new beds)'."""
    if table.page.medium != "text" or position + 1 >= len(lines):
        return ""
    below = lines[position + 1]
    named = any(c.label.field in NAMING and c.zone.holds(below.phrases[0].middle) for c in table.columns)
    return below.text if named and len(below.phrases) == 1 and _BRACKETED.fullmatch(below.text) else ""


def _read_row(table: Table, line: Line, harvest: Harvest, rest_of_name: str = "") -> bool:
    """Take the results of one row. Returns whether it was a row of this table."""
    if table.page.medium != "grid" and headings.is_prose(line):
        return False
    cells = {id(column): cell(line, column.zone) for column in table.results}
    if not any(any(c.isdigit() for c in text) for text in cells.values()):
        return False
    role = table.role or _row_role(table, line)
    if role and not (role == "previous" and _is_dated(table, line)):
        _leave_row(table, line, role, harvest)
        return True
    if _too_wide(table, line, harvest):
        return True
    astray = _astray(table, line)
    if any(not column.label.analyte for column in astray):
        _leave_row(table, line, "astray", harvest)
        return True
    measure = _measure(table, line)
    if table.counts and not measure:
        _leave_row(table, line, "other", harvest)
        return True
    own = {} if measure else _own(table, line)
    if rest_of_name:
        own = {key: f"{text} {rest_of_name}" if key in NAMING else text for key, text in own.items()}
    _leave_unknown(table, line, harvest)
    for column in table.results:
        text = cells[id(column)]
        if column in astray:
            harvest.leave(text, column.text, _place(table, line, column), WHY_LEFT["astray"])
        else:
            _take(table, line, measured(column, measure) if measure else column, text, own, harvest)
    return True


def _let_days_count(table: Table) -> None:
    """Where the title calls all results earlier ones, let those count whose rows have a day of their own."""
    dated = any(column.label.field in ("date", "date_sampled") for column in table.columns)
    if dated and all(column.role == "previous" for column in table.results):
        table.role = "previous"
        for column in table.results:
            column.role = ""


def _is_dated(table: Table, line: Line) -> bool:
    """Whether an earlier result has its own day in its row, so that it counts for that day."""
    dates = [find_date(text) for name, text in table.fields(line).items() if name in ("date", "date_sampled")]
    return any(found is not None and (found.day or found.first) for found in dates)


def _measure(table: Table, line: Line) -> str:
    """Return what the row counts where it is no sample but a unit or share: ``ppm``, ``% saturation``."""
    telling = [column for column in table.columns if not column.label.analyte]
    if any(column.label.field in IDENTITY for column in telling):
        return ""
    text = first_cell([cell(line, column.zone) for column in telling])
    found = text if is_measure(text) else ""
    table.counts = table.counts or bool(found)
    return found


def _leave_unknown(table: Table, line: Line, harvest: Harvest) -> None:
    """Name the numbers of columns whose headings say nothing that is known."""
    for column in table.columns:
        if column.text and not (column.label.analyte or column.label.field or column.depth_unit):
            text = cell(line, column.zone)
            why = WHY_LEFT.get(column.label.role) or f"what the column '{column.text}' holds is not known"
            harvest.leave(text, column.text, _place(table, line, column), why)


def _row_role(table: Table, line: Line) -> str:
    """Return what the row holds where its name says that it is no sample, else ``""``."""
    telling = [c for c in table.columns if not c.label.analyte and (c.label.field != "other" or not c.text)]
    before = [c for c in telling if c.zone.x0 < min(result.zone.x0 for result in table.results)]
    naming = [c for c in telling if c.label.field in NAMING]  # what stands beside a name rates nothing
    names = [cell(line, column.zone) for column in naming or before or telling]
    if table.page.medium != "grid" and role_of(line.phrases[0].text) == "recommendation":
        return "recommendation"  # 'Lime to apply (t/ha): 02 = 4.5' below the rows
    layers = [cell(line, column.zone) for column in telling if column.label.field == "depth"]
    for name in (*names[:3], *layers):
        role = role_of(name) if name else ""
        if role in ROW_ROLES and not field_of(name):
            return role
        if name and (is_statistic(name) or is_total(name)):
            return "statistic"
    return ""


def _astray(table: Table, line: Line) -> list[Heading]:
    """Return the columns between which a number stands: right under one name, and in the zone of another."""
    if table.page.medium == "grid":
        return []
    found: list[Heading] = []
    for word in line.words:
        if is_number(word.text):
            under = [c for c in table.columns if c.name and c.name.x0 <= word.middle <= c.name.x1]
            if under and not any(column.zone.holds(word.middle) for column in under):
                found += [*under, *(c for c in table.columns if c.zone.holds(word.middle))]
    return found


def _leave_row(table: Table, line: Line, role: str, harvest: Harvest) -> None:
    for column in table.results:
        text = cell(line, column.zone)
        _leave(table, line, column, text, WHY_LEFT[role], harvest)


def _too_wide(table: Table, line: Line, harvest: Harvest) -> bool:
    """Name and leave a row with more cells than headings: its numbers cannot be told apart."""
    if table.page.medium != "grid" or line.phrases[-1].x0 < table.columns[-1].zone.x1:
        return False
    beyond = [p for p in line.phrases if p.x0 >= table.columns[-1].zone.x1]
    if not any(is_number(p.text) for p in beyond):
        return False
    place = place_of(table.page, line, "", several=table.several)
    harvest.messages.append(
        f"{place}: expected {len(table.columns)} cells as in the heading, found {len(beyond)} more; "
        "a decimal comma in a file parted by commas does this. The row was left out."
    )
    for phrase in line.phrases:
        if is_number(phrase.text):
            why = "its row has more cells than the heading"
            harvest.leave(phrase.text, "", place, why, table.page_index, box_around(phrase.words))
    return True


def _own(table: Table, line: Line) -> dict[str, str]:
    """Return the row's fields; a row without a name has that of the row or heading line above it."""
    own = table.fields(line)
    named = any(own.get(name) for name in IDENTITY)
    if named:
        table.last = {name: own[name] for name in IDENTITY if name in own}
        table.group = table.group if table.last else ""
    elif any(column.label.field in IDENTITY for column in table.columns):
        inherited = {"sample": table.group} if table.group else table.last
        own = {**inherited, **own} if own or table.group else own
    if table.group:
        own.setdefault("group", table.group)
    return own


def _take(
    table: Table, line: Line, column: Heading, text: str, own: dict[str, str], harvest: Harvest
) -> None:
    if not text:
        return
    why = column.why_left
    if why:
        _leave(table, line, column, text, why, harvest)
        return
    assert column.assay is not None
    result = parse(text, harvest.decimal)
    if result.status == "text":
        _leave(table, line, column, text, "it is no number that can be read", harvest)
        return
    if result.status == "not-run":
        return
    place = _place(table, line, column)
    harvest.finds.append(
        Find(
            assay=replace(column.assay, unit_printed=column.assay.unit_printed),
            printed=text,
            result=result,
            spot=Spot(table.page_index, line.index, column.zone.x0, place, _box(line, column)),
            own={**own, **column.own},
            reason=_reason(column, own),
            notes=column.notes,
        )
    )


def _reason(column: Heading, own: dict[str, str]) -> str:
    name = next((own[key] for key in IDENTITY if own.get(key)), "")
    row = f" in the row of '{name}'" if name else ""
    return f"It stands{row} under the heading '{column.text}'."


def _leave(table: Table, line: Line, column: Heading, text: str, why: str, harvest: Harvest) -> None:
    place = _place(table, line, column)
    harvest.leave(text, column.text, place, why, table.page_index, _box(line, column))


def _box(line: Line, column: Heading) -> Box | None:
    return box_around(cell_words(line, column.zone))


def _place(table: Table, line: Line, column: Heading) -> str:
    return place_of(table.page, line, column.text, several=table.several)
