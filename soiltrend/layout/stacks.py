"""Names below each other on a page, gathered to stacks: the rows of one table each."""

import dataclasses
from collections.abc import Sequence
from math import inf

from soiltrend.layout.entries import Entry, entries_of, is_result
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.stack import Stack
from soiltrend.layout.stackcolumns import find_columns, is_heading
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import is_number
from soiltrend.readers.document import Page

OVERLAP = 0.8  # of the shorter of two names, how much must stand under the other
GAP = 7  # lines without a known name that a stack may step over


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
        led = sum(bool(entry.left) for entry in stack.results)  # by names of samples on their left
        stack.left = stack.x0 if beside and led * 2 < len(stack.results) else -inf
        find_columns(stack, lines, used)
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
        if position not in used and position + 1 not in used and _goes_on_below(upper, lower):
            first = upper.phrases[0]
            whole = dataclasses.replace(first, text=f"{first.text} {lower.text}")
            joined[position] = dataclasses.replace(upper, phrases=(whole, *upper.phrases[1:]))
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


def _goes_on_below(upper: Line, lower: Line) -> bool:
    """Whether the unit of a row's name stands on the line below: 'Sol. salts,  0.33' over 'mmhos/cm 1:2'."""
    if len(lower.phrases) != 1 or len(upper.phrases) < 2 or is_result(lower.text):
        return False
    name, below = label_of(upper.phrases[0].text), label_of(f"{upper.phrases[0].text} {lower.text}")
    if not (name.names_result and below.names_result and name.analyte and below.analyte):
        return False
    same = name.analyte.analyte == below.analyte.analyte and not label_of(lower.text).analyte
    same = same and below.analyte.is_result and below.analyte.exact
    return (
        same
        and bool(below.analyte.unit)
        and not name.analyte.unit
        and lower.phrases[0].x0 < upper.phrases[1].x0
    )


def _hangs_over(upper: Line, lower: Line) -> bool:
    """Whether a long name has pushed its result to the next line, right of where the name begins."""
    name = upper.phrases[0]
    if len(upper.phrases) != 1 or not label_of(name.text).names_result:
        return False
    return is_result(lower.phrases[0].text) and lower.phrases[0].x0 > (name.x0 + name.x1) / 2


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
        if other.x0 > stack.x0 and lines & {entry.line.index for entry in other.entries if not entry.inline}
    ]
    return min(beside, default=inf)
