"""Names with values right of them: sheets of pairs, tables with analytes down, long and transposed tables."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from soiltrend.layout.entries import Entry, is_result
from soiltrend.layout.finds import Harvest
from soiltrend.layout.lines import Line
from soiltrend.layout.sections import Section, section_beside, sections_of
from soiltrend.layout.stack import Stack
from soiltrend.layout.stackreader import StackReader
from soiltrend.layout.stacks import find_stacks
from soiltrend.readers.document import Page

LEAST_ROWS = 2  # rows that what stands over them can head
EDGE_LINES = 4  # lines of a page's head and foot around a table that goes on


@dataclass(slots=True)
class Down:
    """What reading the stacks of a page gives: their lines and left edges, and the table that may go on."""

    lines: set[int] = field(default_factory=set)
    edges: tuple[float, ...] = ()
    going_on: StackReader | None = None


def read_stacks(
    lines: Sequence[Line],
    page: Page,
    index: int,
    harvest: Harvest,
    used: set[int],
    *,
    several: bool,
    before: StackReader | None = None,
) -> Down:
    """Read every stack of names on a page into ``harvest``.

    ``before`` is the table that the page before ended with: its rows may go on here without headings.
    """
    sections = sections_of(lines, used)
    stacks = find_stacks(lines, page, used)
    down = Down(edges=tuple(sorted(stack.x0 for stack in stacks if len(stack.results) > 1)))
    for stack in stacks:
        last: dict[str, str] = {}
        if before is not None and _goes_on(stack, before.stack):
            stack.heading, stack.columns = before.stack.heading, before.stack.columns
            last = before.last
        reader = StackReader(stack, sections, index, harvest, several, last, _beside(stack, lines))
        reader.read()
        down.lines.update(entry.line.index for entry in stack.results if _gives_result(entry))
        at_foot = bool(lines) and lines[-1].index - stack.entries[-1].line.index <= EDGE_LINES
        down.going_on = reader if at_foot and stack.heading else None
    return down


def _beside(stack: Stack, lines: Sequence[Line]) -> Section:
    """Return what stands right over a stack that has another on its left: 'Base saturation, %'."""
    at = next((i for i, line in enumerate(lines) if line.index == stack.results[0].line.index), 0)
    below = sum(not entry.inline for entry in stack.results)
    if not at or below < LEAST_ROWS or stack.heading or stack.page.medium == "grid":
        return Section()
    return section_beside(lines[at - 1], stack.x0 - 2 * stack.page.space, stack.right)


def _gives_result(entry: Entry) -> bool:
    """Whether anything beside a name is a result; 'Phosphorus by Bray P1.  Crop: beans' tells a method."""
    return any(is_result(item.text) for item in entry.items)


def _goes_on(stack: Stack, before: Stack) -> bool:
    """Whether rows at the head of a page have no headings and fit the columns of the page before."""
    if stack.heading or stack.page.medium == "grid" or stack.results[0].line.index > EDGE_LINES:
        return False
    named = [c for c in before.columns if any(c.zone.holds((e.x0 + e.x1) / 2) for e in before.results)]
    return all(any(c.zone.holds((e.x0 + e.x1) / 2) for c in named) for e in stack.results)
