"""Rows over the headings of a table with names down: fields over its columns, or the samples' names alone."""

import dataclasses
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

from soiltrend.layout.contents import item_zones, own_of, role_by_content
from soiltrend.layout.depths import is_layer
from soiltrend.layout.entries import Entry, entries_of
from soiltrend.layout.joining import joined
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.stack import Column, Stack
from soiltrend.layout.zones import Zone, cell

GAP = 0.6  # heights of a line between the lines of one name
_WORD = re.compile(r"[^\W\d_]{2}")
LONGEST_NAME = 30  # letters of one line of a name
NAME_LINES = 7  # lines of names over columns of numbers
FIELD_ROWS = 8  # lines of fields looked at above the headings


def fields_above(stack: Stack, lines: Sequence[Line], used: set[int]) -> tuple[list[Entry], int]:
    """Return the rows of fields right above the headings or rows, and the place of the highest line taken.

    Such rows tell samples and layers, one over each column; a long name may go on in the line below it.
    """
    first = stack.heading.index if stack.heading else stack.results[0].line.index
    at = next((i for i, line in enumerate(lines) if line.index == first), 0)
    found: list[Entry] = []
    hanging: Line | None = None
    for position in range(at - 1, max(-1, at - 1 - FIELD_ROWS), -1):
        fields = [entry for entry in entries_of(lines[position]) if entry.label.field]
        rows = [entry for entry in fields if len(entry.items) > 1 and ":" not in entry.line.text]
        if position in used or not (rows or hanging is None):
            break
        if rows:
            over = lines[position - 1] if position and hanging else None
            over = over if over and over.bottom > lines[position].top else None
            found += [_with_hanging(entry, hanging, over) for entry in rows]
            hanging, at = None, position
        else:
            hanging = lines[position]
    return found, at


def name_by_line(stack: Stack, lines: Sequence[Line], top: int, used: set[int]) -> None:
    """Take a line without a label over the rows of fields for the samples' names, one over each column."""
    results = [column for column in stack.columns if role_by_content(column, stack) == "numbers"]
    if (
        not top
        or top - 1 in used
        or len(results) < 2
        or any(column.own.keys() - {"lab_number"} for column in results)
    ):
        return
    line = lines[top - 1]
    texts = [cell(line, column.zone) for column in results]
    plain = all(texts) and not any(label_of(text).known or ":" in text for text in texts)
    if plain and len(line.phrases) == len(results) and len(set(texts)) > 1:
        for column, text in zip(results, texts, strict=True):
            column.own = {**column.own, **own_of(text)}


@dataclass(frozen=True, slots=True)
class NamesBlock:
    """Names of samples over columns of numbers, each on lines of its own, and the highest of those lines."""

    top: int
    names: tuple[tuple[Zone, str], ...] = ()

    def over(self, column: Column) -> str:
        """Return the name over a column, ``""`` where none stands there."""
        return next((text for zone, text in self.names if column.zone.overlap(zone) > 0), "")


def names_block(stack: Stack, lines: Sequence[Line], used: set[int]) -> NamesBlock:
    """Return names that stand over the columns of numbers, set one in the middle beside the other.

    Each name runs over lines of its own, which are not in line with those of the name beside it.
    """
    first = next((i for i, line in enumerate(lines) if line.index == stack.results[0].line.index), 0)
    columns = [Column(zone, loose=True) for zone in item_zones(stack)]
    numbers = [column.zone for column in columns if role_by_content(column, stack) == "numbers"]
    texts: list[list[str]] = [[] for _ in numbers]
    top = first
    for position in range(first - 1, max(-1, first - 1 - NAME_LINES), -1):
        owners = [_owner(phrase, numbers, columns) for phrase in lines[position].phrases]
        apart = lines[position + 1].top - lines[position].bottom
        high = lines[position].bottom - lines[position].top
        if apart > (high if position + 1 == first else GAP * high) or position in used:
            break
        if not owners or min(owners) < 0 or len(set(owners)) < len(owners):
            break
        small = any(text[0][:1].islower() for text in texts if text)
        worded = small or all(_goes_below(text[0]) for text in texts if text)
        if len(owners) == len(numbers) > 1 and first - position > 1 and not worded:
            break  # a line of its own: the samples' numbers, the headings
        for owner, phrase in zip(owners, lines[position].phrases, strict=True):
            texts[owner].insert(0, phrase.text)
        top = position
    whole = first - top > 1 and len(numbers) > 1 and all(texts) and any(len(text) > 1 for text in texts)
    names = (
        tuple((zone, reduce(joined, text)) for zone, text in zip(numbers, texts, strict=True))
        if whole
        else ()
    )
    return NamesBlock(top if names else first, names)


def _goes_below(text: str) -> bool:
    """Whether a text can be the second line of a name, or the layer below it."""
    return is_layer(text) or bool(_WORD.search(text) and not label_of(text).known)


def _owner(phrase: Phrase, numbers: Sequence[Zone], columns: Sequence[Column]) -> int:
    """Return which column of numbers a phrase stands over alone, -1 where it is none of them or another's."""
    near = min(range(len(numbers)), key=lambda i: abs(_middle(numbers[i]) - phrase.middle), default=-1)
    over = [zone for zone in numbers if zone.overlap(phrase) > 0]
    left = [c.zone.x1 for c in columns if c.zone not in numbers and near >= 0 and c.zone.x0 < numbers[0].x0]
    inside = not left or phrase.middle > max(left)
    short = ":" not in phrase.text and len(phrase.text) <= LONGEST_NAME
    return near if inside and near >= 0 and len(over) <= 1 and short else -1


def _middle(zone: Zone) -> float:
    return (zone.x0 + zone.x1) / 2


def _with_hanging(entry: Entry, hanging: Line | None, over: Line | None) -> Entry:
    """Put words of the line below behind the texts that they stand under.

    What stands both ``over`` and below the row, and beside its texts, is a text of its own: 'Hill below' over
    'spring house'.
    """
    if hanging is None:
        return entry
    items = []
    for item in entry.items:
        under = [p for p in hanging.phrases if _overlap(p, item)]
        items.append(dataclasses.replace(item, text=joined(item.text, under[0].text)) if under else item)
    for upper in over.phrases if over else ():
        under = [p for p in hanging.phrases if _overlap(p, upper)]
        if under and not any(_overlap(upper, item) for item in entry.items):
            words = (*upper.words, *under[0].words)
            x0, x1 = min(upper.x0, under[0].x0), max(upper.x1, under[0].x1)
            items.append(Phrase(words, joined(upper.text, under[0].text), x0, x1))
    return dataclasses.replace(entry, items=tuple(sorted(items, key=lambda item: item.x0)))


def _overlap(one: Phrase, other: Phrase) -> bool:
    return min(one.x1, other.x1) > max(one.x0, other.x0)
