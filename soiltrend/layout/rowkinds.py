"""Rows below one name that say what each holds: 'Calcium  Desired  2359' over 'Found  2150'."""

from collections.abc import Sequence
from dataclasses import replace

from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.words import role_of
from soiltrend.readers.document import Page

KINDS = frozenset({"range", "previous", "deviation", "recommendation", "limit", "value"})
LEAST = 2  # names with such rows that make them a habit of the report


def named_rows(lines: Sequence[Line], page: Page) -> list[Line]:
    """Return the lines with the name put before each row of its kinds, where a report has such rows.

    The row of the result keeps the name alone; those of what is desired or lacking are called so with it.
    """
    whole = list(lines)
    names = 0
    for position in range(len(lines)):
        rows = _rows_of_name(lines, position, page)
        for index in rows:
            whole[index] = _named(lines[index], lines[position].phrases[0], own=index == position)
        names += bool(rows)
    return whole if names >= LEAST else list(lines)


def _rows_of_name(lines: Sequence[Line], position: int, page: Page) -> list[int]:
    """Return the lines of one name's rows of several kinds, one of which is the result."""
    first = lines[position].phrases
    if len(first) < 3 or role_of(first[1].text) not in KINDS or not label_of(first[0].text).names_result:
        return []
    near = 0.5 if page.medium == "grid" else 2 * page.space
    rows = [position]
    for index in range(position + 1, len(lines)):
        kind = lines[index].phrases[0]
        aside = min(abs(kind.x0 - first[1].x0), abs(kind.x1 - first[1].x1)) <= near
        if role_of(kind.text) not in KINDS or not aside:
            break
        rows.append(index)
    kinds = [role_of(lines[index].phrases[index == position].text) for index in rows]
    return rows if kinds.count("value") == 1 else []


def _named(line: Line, name: Phrase, *, own: bool) -> Line:
    """Return a row with the name before its results, and with what else it is called."""
    kind, *rest = line.phrases[1:] if own else line.phrases
    text = name.text if role_of(kind.text) == "value" else f"{name.text} {kind.text}"
    return replace(line, phrases=(Phrase(name.words, text, name.x0, name.x1), *rest))
