"""Names below each other: rows of one table, its heading line, what each column beside them holds."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from soiltrend.layout.dates import find_date, is_date
from soiltrend.layout.depths import depth_unit, is_layer
from soiltrend.layout.entries import Entry, entries_of, is_result
from soiltrend.layout.labels import label_of, split_headings
from soiltrend.layout.lines import Line, Phrase, phrase_of
from soiltrend.layout.ranges import is_range
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import Zone, cell, cell_words, grid_zones, is_number, zones_below
from soiltrend.readers.document import Box, Page, box_around
from soiltrend.vocabulary import match_method, match_unit

OVERLAP = 0.8  # of the shorter of two names, how much must stand under the other
GAP = 7  # lines without a known name that a stack may step over
HEADINGS = 3  # lines looked at above the first name


@dataclass(slots=True)
class Column:
    """What stands in one column beside the names: its role, its heading, and the sample it is about."""

    zone: Zone
    text: str = ""
    role: str = ""
    field: str = ""
    unit: str = ""
    own: dict[str, str] = dataclasses.field(default_factory=dict)
    depth_unit: str = ""
    loose: bool = False  # found from what stands in it, without a heading


@dataclass(slots=True)
class Stack:
    """Rows of names at one left edge, up to ``right``; ``heading`` is the line that names the columns."""

    page: Page
    x0: float
    entries: list[Entry]
    right: float = inf
    left: float = -inf
    heading: Line | None = None
    columns: list[Column] = dataclasses.field(default_factory=list)

    @property
    def results(self) -> list[Entry]:
        """The entries that name an analyte."""
        return [entry for entry in self.entries if entry.label.analyte]


def find_stacks(lines: Sequence[Line], page: Page, used: set[int]) -> list[Stack]:
    """Return every stack of names on the page, with its columns."""
    finished: list[Stack] = []
    open_stacks: list[Stack] = []
    called: Sequence[Phrase] = ()
    for position, line in enumerate(_unwrapped(lines, used)):
        if position in used or is_heading(line):
            finished += open_stacks
            open_stacks = []
            called = _called(line)
            continue
        stale = [s for s in open_stacks if line.index - s.entries[-1].line.index > GAP]
        finished += stale
        open_stacks = [s for s in open_stacks if s not in stale]
        for entry in _under(called, entries_of(line), page):
            _put(entry, open_stacks, page)
    stacks = [stack for stack in finished + open_stacks if stack.results]
    for stack in stacks:
        stack.right = _right_edge(stack, stacks)
    for stack in stacks:
        beside = [other for other in stacks if other.right == stack.x0]
        stack.left = stack.x0 if beside and not any(entry.left for entry in stack.results) else -inf
        _find_columns(stack, lines, used)
    return stacks


NOT_NAMES = {"method", "unit", "range", "rating", "value", "limit", "uncertainty"}


def _called(heading: Line) -> Sequence[Phrase]:
    """Return the headings of a table with one column of names; nothing where it has none or several."""
    names = [phrase for phrase in heading.phrases if role_of(phrase.text) == "analyte"]
    return heading.phrases if len(names) == 1 else ()


def _under(called: Sequence[Phrase], entries: list[Entry], page: Page) -> list[Entry]:
    """Keep the names under the heading of names: what stands in a column of methods or notes is none."""
    if not called or not any(entry.label.analyte for entry in entries):
        return entries
    kept = [entry for entry in entries if entry.label.field or not _is_elsewhere(entry, called, page)]
    if len(kept) == len(entries) or not any(entry.label.analyte for entry in kept):
        return kept
    line = kept[0].line
    return [
        dataclasses.replace(entry, items=tuple(p for p in line.phrases if p.x0 > entry.x0))
        if entry.label.analyte
        else entry
        for entry in kept
    ]


def _is_elsewhere(entry: Entry, called: Sequence[Phrase], page: Page) -> bool:
    """Whether a name stands under the heading of another column than that of the names."""
    if entry.inline:
        return False
    names = next(phrase for phrase in called if role_of(phrase.text) == "analyte")
    if page.medium == "grid":
        return not names.x0 <= entry.x0 < names.x1
    under = [phrase for phrase in called if min(phrase.x1, entry.x1) > max(phrase.x0, entry.x0)]
    roles = {role_of(phrase.text) for phrase in under}
    weak = bool(entry.label.analyte and entry.label.analyte.weak)
    return (bool(roles) and roles <= {"method", "unit"}) or (weak and bool(roles) and roles <= NOT_NAMES)


def _unwrapped(lines: Sequence[Line], used: set[int]) -> list[Line]:
    """Join a name that goes on in the next line to that line: 'Zinc' above '(DTPA)   9.1'."""
    joined = list(lines)
    for position in range(len(lines) - 1):
        upper, lower = lines[position], lines[position + 1]
        if position not in used and position + 1 not in used and _hangs_over(upper, lower):
            joined[position + 1] = dataclasses.replace(lower, phrases=(*upper.phrases, *lower.phrases))
            continue
        if position in used or position + 1 in used or len(upper.phrases) != 1 or len(lower.phrases) < 2:
            continue
        name = f"{upper.text} {lower.phrases[0].text}"
        goes_on = lower.phrases[0].text.startswith("(") or not label_of(lower.phrases[0].text).known
        if goes_on and not is_number(lower.phrases[0].text) and label_of(name).names_result:
            first = lower.phrases[0]
            whole = Phrase(first.words, name, upper.phrases[0].x0, first.x1)
            joined[position + 1] = dataclasses.replace(lower, phrases=(whole, *lower.phrases[1:]))
    return joined


def _hangs_over(upper: Line, lower: Line) -> bool:
    """Whether a long name has pushed its result to the next line, right of where the name begins."""
    name = upper.phrases[0]
    if len(upper.phrases) != 1 or not label_of(name.text).names_result:
        return False
    return is_result(lower.phrases[0].text) and lower.phrases[0].x0 > (name.x0 + name.x1) / 2


def is_heading(line: Line) -> bool:
    """Whether a line names the columns of a table with names down: 'Test | Result | Unit'."""
    parts = [part for phrase in line.phrases for part in split_headings(phrase)]
    roles = [role_of(part.text) or label_of(part.text).role for part in parts]
    if any(part.text.rstrip().endswith(":") for part in parts):
        return False
    if any(is_number(part.text) for part in parts) and not _numbers_samples(parts):
        return False
    if len(line.phrases) < 2 and len(parts) < 3:
        return False  # a title: 'Soil test results'
    marks = {role for role in roles if role in {"analyte", "value", "unit", "method", "range", "rating"}}
    return len(marks) >= 2 or (("analyte" in marks) and len(parts) >= 2)


def _numbers_samples(parts: Sequence[Phrase]) -> bool:
    """Whether the numbers on a line of headings number samples: 'Parameter | Unit | 101 | 102'."""
    numbers = [part.text for part in parts if is_number(part.text)]
    return role_of(parts[0].text) == "analyte" and all(text.isdigit() for text in numbers)


def _put(entry: Entry, stacks: list[Stack], page: Page) -> None:
    """Put a name to the stack it stands in: by its left edge, else by the names it stands under."""
    near = 0.5 if page.medium == "grid" else 2 * page.space
    for stack in stacks:
        flush_right = bool(entry.left) and abs(stack.entries[-1].x1 - entry.x1) <= 0.3 * page.space
        if abs(stack.x0 - entry.x0) <= near or flush_right:
            stack.entries.append(entry)
            return
    for stack in stacks if page.medium != "grid" else ():
        if _below_names(entry, stack):
            stack.entries.append(entry)
            return
    stacks.append(Stack(page, entry.x0, [entry]))


def _below_names(entry: Entry, stack: Stack) -> bool:
    """Whether a name set to the right or middle of a column stands under most of the stack's last name."""
    last = stack.entries[-1]
    if last.line.index == entry.line.index or not (last.label.analyte and entry.label.analyte):
        return False
    shared = min(last.x1, entry.x1) - max(last.x0, entry.x0)
    return shared >= OVERLAP * min(last.x1 - last.x0, entry.x1 - entry.x0)


def _right_edge(stack: Stack, stacks: Sequence[Stack]) -> float:
    """Return where the next column of names begins, among stacks that stand beside this one."""
    lines = {entry.line.index for entry in stack.entries if not entry.inline}
    beside = [
        other.x0
        for other in stacks
        if other.x0 > stack.x0 and lines & {entry.line.index for entry in other.entries}
    ]
    return min(beside, default=inf)


def _find_columns(stack: Stack, lines: Sequence[Line], used: set[int]) -> None:
    rows = [entry.line for entry in stack.results if not entry.inline]
    names = _heading_names(stack, lines, used)
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
    if len(stack.columns) < 2:  # a title over names and results alike tells no columns
        stack.heading = None
        stack.columns = [Column(zone, loose=True) for zone in _item_zones(stack)]
    if not any(column.role == "value" or column.unit for column in stack.columns):
        for column in stack.columns:
            _take_for_sample(column, stack)
    for column in stack.columns:
        if not (column.role or column.field or column.unit):
            column.role = _role_by_content(column, stack)


def _take_for_sample(column: Column, stack: Stack) -> None:
    """Let a heading such as 'P1' or 'Bed' over a column of results name its sample."""
    named = column.field or label_of(column.text).analyte
    if named and column.zone.x0 > stack.x0 and _role_by_content(column, stack) == "numbers":
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


def _heading_names(stack: Stack, lines: Sequence[Line], used: set[int]) -> list[Phrase]:
    """Return the headings over the stack, the names' own column included; nothing where there are none."""
    first = stack.results[0].line.index
    for position in range(first - 1, max(-1, first - 1 - HEADINGS), -1):
        line = lines[position]
        parts = _parts_over(line, stack)
        if position in used or not parts:
            continue
        entries = [] if is_heading(line) else entries_of(line)
        if any(entry.label.analyte for entry in entries):
            break
        if is_heading(line) or _names_samples(parts, stack):
            stack.heading = line
            return _with_names_column(parts, stack)
        if entries and not all(entry.label.field and len(entry.items) > 1 for entry in entries):
            break  # a row of fields, one for each column, stands between the headings and the results
    return []


def _parts_over(line: Line, stack: Stack) -> list[Phrase]:
    """Return the headings on a line; where there are as many phrases as columns, 'Zn bed' is one of them."""
    whole = [phrase for phrase in line.phrases if phrase.x0 < stack.right and phrase.x1 > stack.left]
    columns = len(_item_zones(stack)) + any(entry.left for entry in stack.results)
    if len(whole) > columns:
        return whole
    return [part for phrase in whole for part in split_headings(phrase)]


def _names_samples(parts: Sequence[Phrase], stack: Stack) -> bool:
    """Whether a line without known words stands over the columns, one phrase for each: sample names."""
    right = [part for part in parts if part.x0 > stack.results[0].x1 - 0.5]
    columns = _item_zones(stack)
    if not right or len(right) != len(columns) or len(parts) - len(right) > 1:
        return False
    if len(right) == 1 and not (role_of(right[0].text) or label_of(right[0].text).unit):
        return False
    return all(":" not in part.text and len(part.text) < 30 for part in parts)


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
        column.own = _own(name.text)
    return column


def _own(text: str) -> dict[str, str]:
    """Return what a heading without known words says of its column: a layer, a date, else a name."""
    if is_layer(text):
        return {"depth": text}
    if is_date(text) or (find_date(text) and len(text) <= 20):
        return {"column_date": text}
    return {"column_name": text} if text else {}


def _item_zones(stack: Stack) -> list[Zone]:
    """Gather what stands right of the names to columns."""
    items = sorted(
        (item for entry in stack.results for item in entry.items if item.x0 < stack.right),
        key=lambda p: p.x0,
    )
    zones: list[Zone] = []
    for item in items:
        if zones and item.x0 < zones[-1].x1 - 0.005:
            zones[-1] = Zone(zones[-1].x0, max(zones[-1].x1, item.x1))
        else:
            zones.append(Zone(item.x0, item.x1))
    return zones


def texts_in(stack: Stack, column: Column) -> list[str]:
    """Return the column's filled cells beside names of results."""
    texts = (cell_of(entry, column) for entry in stack.results)
    return [text for text in texts if text]


def cell_of(entry: Entry, column: Column) -> str:
    """Return what stands beside a name in one column."""
    inside = [item for item in entry.items if column.zone.holds(item.middle)]
    if inside:
        return " ".join(item.text for item in inside)
    if column.loose:
        return ""
    if entry.items and column.zone.x0 < entry.items[-1].x1:
        return cell(entry.line, column.zone) if column.zone.x1 != inf or column.zone.x0 != -inf else ""
    return ""


def box_of(entry: Entry, column: Column) -> Box | None:
    """Return the box of what :func:`cell_of` returns."""
    inside = [item for item in entry.items if column.zone.holds(item.middle)]
    if not inside:
        return box_around(cell_words(entry.line, column.zone))
    around = box_around(word for item in inside for word in item.words)
    return (inside[0].x0, around[1], inside[-1].x1, around[3]) if around else None


def _role_by_content(column: Column, stack: Stack) -> str:
    """Return the role of a column without a telling heading, by what most of its cells are."""
    texts = texts_in(stack, column)
    if not texts or column.zone.holds(stack.x0):
        return ""
    kinds = [_kind(text) for text in texts]
    most = max(set(kinds), key=kinds.count)
    return most if kinds.count(most) * 2 > len(kinds) else ""


def _kind(text: str) -> str:
    if match_unit(text):
        return "unit"
    if is_range(text):
        return "range"
    if is_result(text):
        return "numbers"
    if match_method(text):
        return "method"
    return "rating" if not any(c.isdigit() for c in text) else ""
