"""Rows over the headings of a table with names down: fields over its columns, or the samples' names alone."""

import dataclasses
from collections.abc import Sequence

from soiltrend.layout.contents import own_of, role_by_content
from soiltrend.layout.entries import Entry, entries_of
from soiltrend.layout.joining import joined
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line
from soiltrend.layout.stack import Stack
from soiltrend.layout.zones import cell

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
            found += [_with_hanging(entry, hanging) for entry in rows]
            hanging, at = None, position
        else:
            hanging = lines[position]
    return found, at


def name_by_line(stack: Stack, lines: Sequence[Line], top: int, used: set[int]) -> None:
    """Take a line without a label over the rows of fields for the samples' names, one over each column."""
    results = [column for column in stack.columns if role_by_content(column, stack) == "numbers"]
    if not top or top - 1 in used or len(results) < 2 or any(column.own for column in results):
        return
    line = lines[top - 1]
    texts = [cell(line, column.zone) for column in results]
    plain = all(texts) and not any(label_of(text).known or ":" in text for text in texts)
    if plain and len(line.phrases) == len(results) and len(set(texts)) > 1:
        for column, text in zip(results, texts, strict=True):
            column.own = own_of(text)


def _with_hanging(entry: Entry, hanging: Line | None) -> Entry:
    """Put words of the line below behind the texts that they stand under."""
    if hanging is None:
        return entry
    items = []
    for item in entry.items:
        under = [p for p in hanging.phrases if min(p.x1, item.x1) > max(p.x0, item.x0)]
        items.append(dataclasses.replace(item, text=joined(item.text, under[0].text)) if under else item)
    return dataclasses.replace(entry, items=tuple(items))
