"""A stack: names below each other with what stands in the columns beside them."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from statistics import median_low

from soiltrend.layout.entries import Entry
from soiltrend.layout.lines import Line
from soiltrend.layout.zones import Zone, cell, cell_words
from soiltrend.readers.document import Box, Page, box_around

WIDE = 1.3  # of the usual step from row to row: what is wider parts two blocks


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
    above: list[Entry] = dataclasses.field(default_factory=list)  # rows of fields over the headings
    columns: list[Column] = dataclasses.field(default_factory=list)

    @property
    def results(self) -> list[Entry]:
        """The entries that name an analyte."""
        return [entry for entry in self.entries if entry.label.analyte]


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


def blocks_of(entries: Sequence[Entry]) -> list[list[Entry]]:
    """Part rows where the gap between two is wider than is usual between them."""
    steps = [lower.line.top - upper.line.top for upper, lower in pairwise(entries)]
    usual = median_low(steps) if steps else 0.0
    blocks: list[list[Entry]] = []
    for index, entry in enumerate(entries):
        if not index or steps[index - 1] > WIDE * usual:
            blocks.append([])
        blocks[-1].append(entry)
    return blocks
