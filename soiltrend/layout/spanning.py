"""The line above the headings of a table with names down: samples over 'Result' and 'Level', tall cells."""

from collections.abc import Sequence

from soiltrend.layout.headings import is_pair_line
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.reach import reach_of
from soiltrend.layout.words import role_of
from soiltrend.readers.document import Page

HIGH = 2.0  # heights of a line between the samples' names and the headings below them


def line_above(lines: Sequence[Line], position: int, used: set[int], page: Page) -> Line | None:
    """Return the line right above the headings at ``position`` where it can belong to their table."""
    if not position or position - 1 in used:
        return None
    upper, heading = lines[position - 1], lines[position]
    high = 0 if page.medium == "grid" else HIGH * (heading.bottom - heading.top)
    return upper if heading.top - upper.bottom <= high and not is_pair_line(upper) else None


def tall_cells(upper: Line, names: Sequence[Phrase]) -> list[Phrase]:
    """Return what names a column of its own from the line above: 'Analysis', 'Unit', two lines high."""
    alone = (
        phrase
        for phrase in upper.phrases
        if all(phrase.x1 <= name.x0 or phrase.x0 >= name.x1 for name in names)
    )
    return [phrase for phrase in alone if role_of(phrase.text) or label_of(phrase.text).field]


def samples_over(upper: Line, names: Sequence[Phrase], results: Sequence[Phrase], page: Page) -> list[str]:
    """Return the sample named above each heading of results.

    Nothing where it is not so that each of several results has its own name over it.
    """
    found: list[str] = []
    for result in results:
        over = [
            phrase.text
            for index, phrase in enumerate(upper.phrases)
            if reach_of(upper, index, page, names).overlap(result) > 0
        ]
        if len(over) != 1 or not _can_be_sample(over[0]):
            return []
        found += over
    return found if len(set(found)) == len(found) > 1 else []


def _can_be_sample(text: str) -> bool:
    label = label_of(text)
    return ":" not in text and not (label.field or label.role or label.unit or role_of(text))
