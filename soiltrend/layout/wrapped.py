"""Names that run over two or three lines of one row → that row: told from rows by how close they stand."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import median_low

from soiltrend.layout.context import SAMPLE_FIELDS
from soiltrend.layout.entries import is_result
from soiltrend.layout.headings import is_pair_line, is_prose
from soiltrend.layout.joining import joined, renumbered
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.words import field_of
from soiltrend.layout.zones import is_number
from soiltrend.readers.document import Page

CLOSE = 0.75  # of the distance between rows: what stands closer to a row belongs to it
LEADING = 1.5  # heights of a line from one line of a cell to the next
ROWS_NEAR, FARTHEST_IN = 6, 4  # lines above, and letters by which a second line is set in, of a text
MOST_LINES = 3  # further lines of one name, above and below its row


def whole_rows(lines: Sequence[Line], page: Page) -> list[Line]:
    """Return the page's lines with each name of several lines put into its row.

    In a text all lines are equally far apart: there only a name is put together whose second line is set in.
    """
    if page.medium == "text":
        return _set_in(lines)
    rows = [position for position, line in enumerate(lines) if _is_row(line)]
    down = sum(label_of(lines[row].phrases[0].text).names_result for row in rows)
    if 2 * down > len(rows):  # names of results down, so that those of samples stand over the columns
        rows = sorted({*rows, *(at for at, line in enumerate(lines) if _names_samples(line))})
    if page.medium != "drawn" or len(rows) < 2:
        return list(lines)
    owner = _owners(lines, rows)
    parts: dict[int, list[int]] = {}
    for position, row in owner.items():
        parts.setdefault(row, []).append(position)
    found = []
    for position, line in enumerate(lines):
        if position not in owner:
            found.append(_with(line, [lines[other] for other in sorted(parts.get(position, ()))]))
    return renumbered(found)


def _set_in(lines: Sequence[Line]) -> list[Line]:
    """Join 'Paddock by the' to ' old railway  6.5  61' below it, where other rows begin at the edge."""
    found = list(lines)
    gone: set[int] = set()
    for position, (upper, lower) in enumerate(pairwise(lines)):
        name, rest = upper.phrases[0], lower.phrases[0]
        near = lines[max(0, position - ROWS_NEAR) : position]
        rows = [line for line in near if _is_row(line) and len(line.phrases) == len(lower.phrases)]
        begins = rest.x0 - name.x0
        if not rows or any(line.phrases[0].x0 != name.x0 for line in rows) or not 0 < begins <= FARTHEST_IN:
            continue
        if len(upper.phrases) == 1 and _is_row(lower) and lower.top == upper.bottom and _goes_on(name, rest):
            whole = Phrase((*name.words, *rest.words), joined(name.text, rest.text), name.x0, rest.x1)
            found[position + 1] = replace(lower, phrases=(whole, *lower.phrases[1:]))
            gone.add(position)
    return renumbered([line for position, line in enumerate(found) if position not in gone])


def _goes_on(name: Phrase, rest: Phrase) -> bool:
    """Whether two phrases can be the lines of one name."""
    plain = not (label_of(name.text).known or label_of(rest.text).known or is_result(rest.text))
    return plain and name.text[-1:] not in ".:" and not is_result(name.text)


def _is_row(line: Line) -> bool:
    """Whether a line holds a result and something beside it, and is neither a field nor a sentence."""
    results = sum(is_number(phrase.text.split()[0]) and is_result(phrase.text) for phrase in line.phrases)
    return bool(results) and len(line.phrases) > 1 and not (is_pair_line(line) or is_prose(line))


def _names_samples(line: Line) -> bool:
    """Whether a line names a sample over each column: 'Sample name', 'Block 1', 'Upper terrace'."""
    first, *others = line.phrases
    labels = [label_of(phrase.text) for phrase in others]
    free = not any(label.analyte or label.field for label in labels)
    return field_of(first.text) in SAMPLE_FIELDS and len(others) > 1 and free


def _owners(lines: Sequence[Line], rows: Sequence[int]) -> dict[int, int]:
    """Return the row of each line that goes on with a row's name."""
    pitch = _pitch(lines, rows)
    names = [phrase for row in rows for phrase in _names(lines[row])]
    owner: dict[int, int] = {}
    for row in rows:
        for step in (-1, 1):
            last = row
            for position in range(row + step, row + step * (MOST_LINES + 1), step):
                if not 0 <= position < len(lines) or not _is_close(lines[position], lines[last], pitch):
                    break
                nearer = owner.get(position)
                if nearer is not None and _off(lines, position, nearer) <= _off(lines, position, row):
                    break
                if not all(_is_name(phrase, lines[row], names) for phrase in lines[position].phrases):
                    break
                owner[position] = row
                last = position
    return owner


def _pitch(lines: Sequence[Line], rows: Sequence[int]) -> float:
    """Return how far apart the rows of the page usually are."""
    return median_low(lines[lower].top - lines[upper].top for upper, lower in pairwise(rows))


def _is_close(line: Line, last: Line, pitch: float) -> bool:
    """Whether a line stands closer to the last one of a row than rows stand to each other."""
    return abs(line.top - last.top) <= min(LEADING * (line.bottom - line.top), CLOSE * pitch)


def _names(row: Line) -> list[Phrase]:
    """Return the phrases of a row that are no numbers."""
    return [phrase for phrase in row.phrases if not is_result(phrase.text)]


def _is_name(phrase: Phrase, row: Line, names: Sequence[Phrase]) -> bool:
    """Whether a phrase goes on with one name of the row, or is the name that the row itself lacks."""
    over = [other for other in row.phrases if _over(phrase, other)]
    if over:
        return len(over) == 1 and not is_result(over[0].text)
    return phrase.x1 <= row.phrases[0].x0 or any(_over(phrase, name) for name in names)


def _off(lines: Sequence[Line], position: int, row: int) -> float:
    return abs(lines[position].top - lines[row].top)


def _with(row: Line, parts: Sequence[Line]) -> Line:
    """Put the other lines of a row's names into the row, in the order of reading."""
    cells: list[list[tuple[float, Phrase]]] = [[(row.top, phrase)] for phrase in row.phrases]
    for part in parts:
        for phrase in part.phrases:
            own = next((cell for cell in cells if any(_over(phrase, other) for _, other in cell)), None)
            if own is None:
                cells.append([(part.top, phrase)])
            else:
                own.append((part.top, phrase))
    whole = [_one([phrase for _, phrase in sorted(cell, key=lambda pair: pair[0])]) for cell in cells]
    top, bottom = min(line.top for line in (row, *parts)), max(line.bottom for line in (row, *parts))
    phrases = tuple(sorted(whole, key=lambda phrase: phrase.x0))
    return replace(row, phrases=phrases, top=top, bottom=bottom)


def _over(phrase: Phrase, name: Phrase) -> bool:
    return min(phrase.x1, name.x1) > max(phrase.x0, name.x0)


def _one(parts: Sequence[Phrase]) -> Phrase:
    text = parts[0].text
    for part in parts[1:]:
        text = joined(text, part.text)
    words = tuple(word for part in parts for word in part.words)
    return Phrase(words, text, min(p.x0 for p in parts), max(p.x1 for p in parts))
