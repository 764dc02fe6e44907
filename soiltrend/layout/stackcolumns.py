"""The columns beside a stack of names: its heading line, and what each column holds."""

import re
from collections.abc import Sequence
from math import inf

from soiltrend.layout.contents import item_zones, own_of, role_by_content
from soiltrend.layout.context import SAMPLE_FIELDS
from soiltrend.layout.dates import is_date
from soiltrend.layout.depths import depth_unit
from soiltrend.layout.entries import Entry, entries_of
from soiltrend.layout.labels import label_of, split_headings
from soiltrend.layout.lines import Line, Phrase, phrase_of
from soiltrend.layout.overhead import NamesBlock, fields_above, name_by_line, names_block
from soiltrend.layout.spanning import line_above, samples_over, tall_cells
from soiltrend.layout.stack import Column, Stack
from soiltrend.layout.words import field_of, role_of
from soiltrend.layout.zones import Zone, grid_zones, is_number, zones_below
from soiltrend.values import is_rating
from soiltrend.vocabulary import match_unit_cell

LEAST_YEARS = 2  # years or dates that head the columns of a history
_YEAR = re.compile(r"(?:19[5-9]|20\d)\d")
HEADINGS = 3  # lines looked at above the first name


def find_columns(stack: Stack, lines: Sequence[Line], used: set[int]) -> None:
    """Give a stack its columns: by its heading line, else by what stands beside the names."""
    plain = [entry.line for entry in stack.results if not entry.inline]
    rows = [line for line in plain if not any(other.inline for other in entries_of(line))] or plain
    block = names_block(stack, lines, used) if stack.page.medium != "grid" else NamesBlock(0)
    names = _heading_names(stack, lines, used, block.top if block.names else stack.results[0].line.index)
    if names:
        body = [_clipped(row, stack) for row in rows]
        zones = (
            grid_zones(names)
            if stack.page.medium == "grid"
            else zones_below(
                names, [row for row in body if row.phrases], stack.page.space, rules=stack.page.rules
            )
        )
        if stack.page.medium != "grid":
            zones = _around_names(zones, names, stack.results)
        stack.columns = [_named_column(name, zone) for name, zone in zip(names, zones, strict=True)]
        _name_samples(stack, names, lines, used)
        stack.above, top = fields_above(stack, lines, used)
        if stack.page.medium == "grid":
            stack.columns += _without_heading(stack)
        elif _is_led_from_above(stack) or _leaves_columns_out(stack, names):
            stack.columns = _by_places(stack, names)
        name_by_line(stack, lines, top, used)
    if len(stack.columns) < 2:  # a title over names and results alike tells no columns
        stack.heading = None
        stack.columns = [Column(zone, loose=True) for zone in item_zones(stack)]
        stack.above = stack.above or fields_above(stack, lines, used)[0]
    if not any(column.role == "value" or column.unit for column in stack.columns):
        for column in stack.columns:
            _take_for_sample(column, stack)
    for column in stack.columns:
        if column.zone.holds(stack.x0):
            column.field = ""  # over the names it names the line of samples
    for column in stack.columns:
        if not (column.role or column.field or column.unit):
            column.role = role_by_content(column, stack)
        if column.role in ("numbers", "value", "") and block.over(column):
            column.own = own_of(block.over(column))


def _without_heading(stack: Stack) -> list[Column]:
    """Return the columns that no heading stands over: of units, methods, and of results if none is named."""
    bare = [
        zone
        for zone in item_zones(stack)
        if all(zone.x0 >= c.zone.x1 or zone.x1 <= c.zone.x0 for c in stack.columns)
    ]
    columns = [Column(zone, loose=True) for zone in bare]
    for column in columns:
        column.role = role_by_content(column, stack)
    results = any(column.role == "value" or column.own for column in stack.columns)
    kept = {"unit", "method"} if results else {"unit", "method", "numbers"}
    return [column for column in columns if column.role in kept]


def _name_samples(stack: Stack, names: Sequence[Phrase], lines: Sequence[Line], used: set[int]) -> None:
    """Give the columns of results the samples that are named on the line above their headings."""
    upper = _above(stack, lines, used)
    results = [index for index, column in enumerate(stack.columns) if column.role == "value"]
    if upper is None or len(results) < 2:
        return
    samples = samples_over(upper, names, [names[index] for index in results], stack.page)
    for index, sample in zip(results, samples, strict=False):
        stack.columns[index].own = own_of(sample)


def _by_places(stack: Stack, names: Sequence[Phrase]) -> list[Column]:
    """Return the columns as the rows show them, those of numbers without a heading of their own.

    So it is where the samples are named above the line that names tests, methods and units.
    """
    edge = max(entry.x1 for entry in stack.results)
    columns = [_named_column(names[0], Zone(-inf, edge))]
    for zone in item_zones(stack):
        name = next((name for name in names[1:] if zone.overlap(name) > 0), None)
        column, named = Column(zone, loose=True), _named_column(name, zone) if name else None
        numbers = role_by_content(column, stack) == "numbers"
        columns.append(named if named and (named.own or not numbers) else column)
    return columns


def _leaves_columns_out(stack: Stack, names: Sequence[Phrase]) -> bool:
    """Whether names of samples stand over the numbers alone, and nothing over units and ratings."""
    fewer = len(names) - 1 < len(item_zones(stack))
    bare = stack.heading is not None and (not is_heading(stack.heading) or _heads_years(stack.heading))
    return fewer and bare and _stand_over_numbers(names[1:], stack)


def _is_led_from_above(stack: Stack) -> bool:
    """Whether rows of fields stand over headings that name no column of results."""
    return bool(stack.above) and not any(column.role == "value" or column.own for column in stack.columns)


def _above(stack: Stack, lines: Sequence[Line], used: set[int]) -> Line | None:
    at = next((i for i, line in enumerate(lines) if line is stack.heading), 0)
    return line_above(lines, at, used, stack.page)


def _take_for_sample(column: Column, stack: Stack) -> None:
    """Let a heading such as 'P1' or 'Bed' over a column of results name its sample."""
    named = column.field or label_of(column.text).analyte
    if named and column.zone.x0 > stack.x0 and role_by_content(column, stack) == "numbers":
        column.field, column.role, column.own = "", "", {"column_name": column.text}


def _around_names(zones: list[Zone], names: Sequence[Phrase], entries: Sequence[Entry]) -> list[Zone]:
    """Widen the column of the names over the whole of each name, whatever stands nearer to other headings."""
    holders = [sum(zone.holds((e.x0 + e.x1) / 2) for e in entries) for zone in zones]
    called = [index for index, name in enumerate(names) if role_of(name.text) == "analyte"]
    at = called[0] if len(called) == 1 else holders.index(max(holders))
    left = min(zones[at].x0, *(entry.x0 for entry in entries), inf)
    short = [entry.x1 for entry in entries if at + 1 == len(zones) or entry.x1 <= names[at + 1].x0]
    right = max([zones[at].x1, *short])
    before = [Zone(min(zone.x0, left), min(zone.x1, left)) for zone in zones[:at]]
    after = [Zone(max(zone.x0, right), max(zone.x1, right)) for zone in zones[at + 1 :]]
    return [*before, Zone(left, right), *after]


def _clipped(line: Line, stack: Stack) -> Line:
    """Return the part of the line that belongs to the stack."""
    left = -inf if stack.entries[0].left else stack.x0
    inside = [[word for word in phrase.words if left <= word.x0 < stack.right] for phrase in line.phrases]
    phrases = tuple(phrase_of(words) for words in inside if words)
    return Line(line.index, line.number, line.top, line.bottom, phrases)


def _heading_names(stack: Stack, lines: Sequence[Line], used: set[int], below: int) -> list[Phrase]:
    """Return the headings over the stack, the names' own column included; nothing where there are none.

    ``below`` is the first line that cannot hold them.
    """
    looked = 0
    for position in range(below - 1, -1, -1):
        line = lines[position]
        parts = _parts_over(line, stack)
        heading = is_heading(line)
        entries = [] if heading else entries_of(line)
        fields = bool(entries) and all(entry.label.field and len(entry.items) > 1 for entry in entries)
        looked += not fields  # rows of fields, one for each column, may stand between headings and results
        if looked > HEADINGS or any(entry.label.analyte for entry in entries):
            break
        if position in used or not parts or fields:
            continue
        if heading or _names_samples(parts, stack):
            stack.heading = line
            upper = _above(stack, lines, used) if heading else None
            tall = [part for part in (tall_cells(upper, parts) if upper else ()) if part.x0 < stack.right]
            return _with_names_column(sorted([*parts, *tall], key=lambda part: part.x0), stack)
        if entries:
            break
    return []


def _parts_over(line: Line, stack: Stack) -> list[Phrase]:
    """Return the headings on a line; where there are as many phrases as columns, 'Zn bed' is one of them."""
    whole = [phrase for phrase in line.phrases if phrase.x0 < stack.right and phrase.x1 > stack.left]
    columns = len(item_zones(stack)) + any(entry.left for entry in stack.results)
    if len(whole) > columns:
        return whole
    return [part for phrase in whole for part in split_headings(phrase)]


def _names_samples(parts: Sequence[Phrase], stack: Stack) -> bool:
    """Whether a line without known words stands over the columns, one phrase for each: sample names."""
    right = [part for part in parts if part.x0 > stack.results[0].x1 - 0.5]
    columns = item_zones(stack)
    over_numbers = _stand_over_numbers(right, stack)
    if not right or (len(right) != len(columns) and not over_numbers) or len(parts) - len(right) > 1:
        return False
    if all(is_rating(part.text) or len(part.text) == 1 for part in right):
        return False
    if len(right) == 1 and not (role_of(right[0].text) or label_of(right[0].text).unit):
        return False
    return all(":" not in part.text and len(part.text) < 30 for part in parts)


def _stand_over_numbers(names: Sequence[Phrase], stack: Stack) -> bool:
    """Whether several names stand over the columns of numbers, one over each, whatever is between them."""
    columns = [Column(zone, loose=True) for zone in item_zones(stack)]
    numbers = [c.zone for c in columns if role_by_content(c, stack) == "numbers"]
    return len(names) == len(numbers) > 1 and all(
        sum(zone.overlap(name) > 0 for zone in numbers) == 1 for name in names
    )


def _with_names_column(parts: list[Phrase], stack: Stack) -> list[Phrase]:
    """Add an empty heading over the names where none is printed."""
    edge = max(entry.x1 for entry in stack.entries)
    if any(part.x0 < edge and part.x1 > stack.x0 for part in parts):
        return parts
    corner = Phrase((), "", stack.x0, min([edge, *(part.x0 for part in parts if part.x0 > stack.x0)]))
    return sorted([*parts, corner], key=lambda part: part.x0)


def _named_column(name: Phrase, zone: Zone) -> Column:
    label = label_of(name.text)
    column = Column(zone, name.text, label.role, label.field, label.unit)
    if label.field.startswith("depth"):
        column.depth_unit = depth_unit(name.text)
    if not label.known:
        column.own = own_of(name.text)
    return column


def is_heading(line: Line) -> bool:
    """Whether a line names the columns of a table with names down: 'Test | Result | Unit'."""
    parts = [part for phrase in line.phrases for part in split_headings(phrase)]
    roles = [role_of(part.text) or label_of(part.text).role for part in parts]
    if not any(label_of(part.text).analyte for part in parts):
        roles += ["unit" for part in parts if match_unit_cell(part.text)]
    if any(part.text.rstrip().endswith(":") for part in parts) or _rates(parts):
        return False
    if _heads_years(line):
        return True
    if any(is_number(part.text) for part in parts) and not _numbers_samples(parts):
        return False
    if len(line.phrases) < 2 and len(parts) < 3:
        return False  # a title: 'Soil test results'
    if _leads_samples(parts) and {"unit", "method"} & {*roles}:
        return True
    marks = {role for role in roles if role in {"analyte", "value", "unit", "method", "range", "rating"}}
    return len(marks) >= 2 or (("analyte" in marks) and len(parts) >= 2)


def _rates(parts: Sequence[Phrase]) -> bool:
    """Whether a line is a row of ratings: 'P rating  L  H  VH'."""
    letters = [part for part in parts[1:] if is_rating(part.text) or len(part.text) == 1]
    return label_of(parts[0].text).rates and len(letters) == len(parts) - 1 > 0


def _heads_years(line: Line) -> bool:
    """Whether years or dates stand over the columns of a history: 'This plot  2013  2017  2021'."""
    days = [bool(_YEAR.fullmatch(phrase.text)) or is_date(phrase.text) for phrase in line.phrases]
    dated = field_of(line.phrases[0].text).startswith("date")  # a row of days, one for each sample
    return sum(days) >= LEAST_YEARS and all(days[1:]) and not dated


def _leads_samples(parts: Sequence[Phrase]) -> bool:
    """Whether a line leads samples across: 'Name of sample | Unit | North bed | South bed'."""
    others = [label_of(part.text) for part in parts[1:]]
    plain = sum(not label.known for label in others)
    return plain > 1 and field_of(parts[0].text) in SAMPLE_FIELDS and not any(o.analyte for o in others)


def _numbers_samples(parts: Sequence[Phrase]) -> bool:
    """Whether the numbers on a line of headings number samples: 'Parameter | Unit | 101 | 102'."""
    numbers = [part.text for part in parts if is_number(part.text)]
    return role_of(parts[0].text) == "analyte" and all(text.isdigit() for text in numbers)
