"""Headings over several lines → one line of whole headings, where that explains more columns."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from soiltrend.layout import headings
from soiltrend.layout.columns import Heading
from soiltrend.layout.joining import joined, renumbered
from soiltrend.layout.labels import label_of, split_headings
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.reach import names_shares, stands_between
from soiltrend.layout.ruled import heading_cells
from soiltrend.layout.stackcolumns import is_heading
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import Zone, is_number
from soiltrend.readers.document import Page, Word
from soiltrend.vocabulary import match_unit

LEAST_NUMBERS = 2  # numbers that make a line a row of results
FIRST_ROWS = 6  # rows looked at to see which columns hold something
UNSURE, STEP = 0.75, 0.25  # what a weak name counts, and the least that whole headings must gain
MOST_LINES = 9  # lines of one block of headings
TOUCH = 0.02  # of the height of a line: less is no overlap
SUBSCRIPT = 0.15  # of the height of a line, how far a subscript may be off the letter it belongs to


def whole_headings(lines: Sequence[Line], page: Page) -> list[Line]:
    """Return the page's lines with each block of stacked headings put to one line, its groups above it.

    A block is put together only where more of the columns are understood than line by line.
    """
    found = list(lines)
    position = 0
    while position < len(found):
        if is_row(found[position]) and position and not is_row(found[position - 1]):
            end = position
            while end > 1 and _is_worded_row(found[end - 1]):
                end -= 1
            block = _block(found, end, page)
            whole = _best(found, block, end, page)
            if whole is None and _heads_rows(found[end - 1], found[position]):
                end -= 1  # 'Macronutrients' stands between the headings and the rows
                whole = _best(found, block, end, page)
            if whole is not None:
                found[block:end] = whole
                position += block + len(whole) - end
        position += 1
    return renumbered(found)


def _heads_rows(line: Line, row: Line) -> bool:
    """Whether a line is a title of the rows below it, flush left with them or a little before."""
    return len(line.phrases) == 1 and line.phrases[0].x0 <= row.phrases[0].x0 < line.phrases[0].x1


def is_row(line: Line) -> bool:
    """Whether a line holds results: two numbers or more, or one beside a known name."""
    numbers = sum(is_number(phrase.text.split()[0]) for phrase in line.phrases)
    return numbers >= LEAST_NUMBERS or (numbers > 0 and label_of(line.phrases[0].text).names_result)


def _is_worded_row(line: Line) -> bool:
    """Whether a row tells something in words: 'Soil texture  Loam  Clay loam'."""
    first, *others = line.phrases
    label = label_of(first.text)
    names = bool(label.analyte) or (bool(label.field) and len(others) > 1)
    return names and bool(others) and not any(label_of(p.text).known for p in others)


def _block(lines: Sequence[Line], row: int, page: Page) -> int:
    """Return the first of the lines above a row that may be headings of its table."""
    first = row
    while first and row - first < MOST_LINES:
        if is_row(lines[first - 1]) or not headings.may_be_above(lines[first - 1], lines[first], page):
            break
        first -= 1
    return first


def _best(lines: Sequence[Line], first: int, row: int, page: Page) -> list[Line] | None:
    """Return the block's lines with its headings whole; None where nothing more is understood by that."""
    if row - first < 2:
        return None
    plain = _explained_by(lines[first:row], lines, first, row, page)
    for kind in (_from_cells, _from_places):  # what rules draw goes before what places suggest
        best: list[Line] | None = None
        most, fewest = plain + STEP, sys.maxsize
        for block, start in kind(lines, first, row, page):
            explained = _explained_by(block, lines, first, row, page)
            drawn = kind is _from_cells and len(block) < row - first
            strange = sum(map(_is_strange, block[-1].phrases)) if explained else 0
            explained = explained or _more_columns(block[-1], lines[start:row], page, drawn=drawn)
            if explained > most or (explained == most and strange <= fewest):
                most, fewest, best = explained, strange, block
        if best is not None:
            return best
    return None


def _is_strange(phrase: Phrase) -> bool:
    """Whether a phrase is no heading of a column of results or fields: a title such as 'Soil test'."""
    label = label_of(phrase.text)
    return not label.known or label.role == "analyte"


def _from_cells(lines: Sequence[Line], first: int, row: int, page: Page) -> Iterator[tuple[list[Line], int]]:
    """Yield the block with its lines from some on put together cell by cell, and where that begins."""
    for start in range(row - 2, first - 1, -1):
        drawn = heading_cells(lines[start:row], page)
        if drawn:
            yield [*lines[first:start], *drawn], start


def _from_places(lines: Sequence[Line], first: int, row: int, page: Page) -> Iterator[tuple[list[Line], int]]:
    """Yield the block with its lines from some on put together by what stands over what."""
    for start in range(row - 2, first - 1, -1):
        block = lines[start:row]
        merged = [_merged(block)] if page.medium == "grid" else []
        for above, tight in [(block, True), (block, False), *((wide, True) for wide in merged)]:
            groups, base = _whole(above, page, tight)
            if not any(len(split_headings(phrase)) > 1 for phrase in base.phrases):
                yield [*lines[first:start], *groups, base], start  # else a title stands over: 'Soil test'


def _merged(block: Sequence[Line]) -> list[Line]:
    """Return the lines of a grid's headings, each cell but in the last reaching up to the next filled one."""
    edge = max(phrase.x1 for line in block for phrase in line.phrases)
    found = []
    for line in block[:-1]:
        ends = [*(phrase.x0 for phrase in line.phrases[1:]), edge]
        wide = [replace(phrase, x1=end) for phrase, end in zip(line.phrases, ends, strict=True)]
        found.append(replace(line, phrases=tuple(wide)))
    return [*found, block[-1]]


def _explained_by(block: Sequence[Line], lines: Sequence[Line], first: int, row: int, page: Page) -> float:
    """Count the columns that are understood where ``block`` stands in place of its lines.

    Its first line that names columns makes the table, whatever the others would name.
    """
    trial = renumbered([*lines[:first], *block, *lines[row:]])
    counts = (_explained(trial, position, page) for position in range(first, first + len(block)))
    return next((count for count in counts if count), 0)


def _explained(lines: Sequence[Line], position: int, page: Page) -> float:
    """Count the columns that are understood where the line at ``position`` names them."""
    found = headings.find(lines, position, page)
    if found is None:
        return 0
    rows = [line for line in lines[found.body :] if is_row(line)][:FIRST_ROWS]
    return sum(
        (1.0 if page.medium == "grid" else _worth(column))
        for column in found.columns
        if column.label.field or (column.assay and not column.why_left and _is_filled(column.zone, rows))
    )


def _worth(column: Heading) -> float:
    """Return how sure a column is: one letter may be the end of a word that was broken."""
    return UNSURE if column.label.analyte and column.label.analyte.weak else 1.0


def _more_columns(base: Line, block: Sequence[Line], page: Page, *, drawn: bool) -> int:
    """Count the headings of a table with names down where its lines overlap, so that none of them has all."""
    apart = any(lower.top >= upper.bottom for upper, lower in pairwise(block))
    if not is_heading(base):
        return 0
    if apart and not drawn:
        more = page.medium != "grid" and _roles(base) > max(map(_roles, block))
        return len(base.phrases) if more else 0
    fewer = sum(len(line.phrases) <= len(base.phrases) - (not drawn) for line in block)
    return len(base.phrases) if fewer == len(block) else 0


def _roles(line: Line) -> int:
    """Count what the headings of a line say that their columns hold, each once."""
    return len({role_of(phrase.text) for phrase in line.phrases} - {""})


def _is_filled(zone: Zone, rows: Sequence[Line]) -> bool:
    return any(zone.holds(word.middle) for row in rows for word in row.words)


@dataclass(slots=True)
class _Cell:
    """One heading being put together, from its lowest line upwards."""

    words: list[Word]
    text: str
    x0: float
    x1: float

    def add(self, upper: Phrase) -> None:
        """Put a phrase from the line above before the rest."""
        self.words = [*upper.words, *self.words]
        self.text = joined(upper.text, self.text)
        self.x0, self.x1 = min(self.x0, upper.x0), max(self.x1, upper.x1)

    def touches(self, phrase: Phrase | Word, least: float) -> bool:
        """Whether the two stand over each other."""
        return min(self.x1, phrase.x1) - max(self.x0, phrase.x0) > least


def _whole(block: Sequence[Line], page: Page, tight: bool) -> tuple[list[Line], Line]:
    """Return the groups above the headings, a line each, and the headings as one line."""
    cells: list[_Cell] = []
    groups: list[Line] = []
    least = TOUCH * (block[-1].bottom - block[-1].top)
    whole = _with_subscripts(block)
    for index in range(len(whole) - 1, -1, -1):
        line, over = whole[index], []
        for phrase in (part for phrases in line.phrases for part in split_headings(phrases)):
            if index and _is_wide_unit(phrase, whole[index - 1], least):
                over.append(phrase)
                continue
            touched = [cell for cell in cells if cell.touches(phrase, least)]
            if (
                any(label_of(cell.text).field for cell in touched)
                and role_of(phrase.text) in headings.NAMES_ROWS
            ):
                continue  # 'Unit', before the line of units, stands over the samples' own column
            if names_shares(phrase.text) and any(label_of(cell.text).analyte for cell in touched):
                over.append(phrase)
                continue
            if len(touched) > 1 and _named_by(phrase, touched):
                continue
            if len(touched) > 1 and not (tight and _shared_out(phrase, touched, least)):
                over.append(phrase)
            elif len(touched) == 1:
                touched[0].add(phrase)
            elif index < len(whole) - 1 and stands_between(phrase, cells, page.space):
                over.append(phrase)
            elif not touched:
                cells.append(_Cell(list(phrase.words), phrase.text, phrase.x0, phrase.x1))
        if over:
            groups.insert(0, replace(line, phrases=tuple(over)))
    names = [Phrase(tuple(c.words), c.text, c.x0, c.x1) for c in sorted(cells, key=lambda c: c.x0)]
    top = min(word.top for name in names for word in name.words)
    return groups, Line(block[-1].index, block[-1].number, top, block[-1].bottom, tuple(names))


def _is_wide_unit(phrase: Phrase, upper: Line, least: float) -> bool:
    """Whether a unit stands below several names, which it all belongs to: '----- lbs/acre -----'."""
    above = sum(min(name.x1, phrase.x1) - max(name.x0, phrase.x0) > least for name in upper.phrases)
    return above > 1 and bool(match_unit(phrase.text))


def _named_by(phrase: Phrase, cells: Sequence[_Cell]) -> bool:
    """Name cells by the analyte above them where they hold units and ratings only: 'mg/l', 'Index'."""
    if not label_of(phrase.text).names_result or any(_says_what(cell.text) for cell in cells):
        return False
    for cell in cells:
        cell.text = f"{phrase.text} {cell.text}"
    return True


def _says_what(text: str) -> bool:
    label = label_of(text)
    return bool(label.analyte or label.field or not label.known)


def _shared_out(phrase: Phrase, cells: Sequence[_Cell], least: float) -> bool:
    """Give each word of a phrase to the one cell it stands over; False where a cell or word is left out."""
    owners = [[cell for cell in cells if cell.touches(word, least)] for word in phrase.words]
    if any(len(own) != 1 for own in owners) or {id(own[0]) for own in owners} != {id(c) for c in cells}:
        return False
    for word, own in reversed(list(zip(phrase.words, owners, strict=True))):
        own[0].add(Phrase((word,), word.text, word.x0, word.x1))
    return True


def _with_subscripts(block: Sequence[Line]) -> list[Line]:
    """Put small letters set lower behind the word they touch: 'pH' and 'Ca' are 'pHCa'."""
    lines = [list(line.phrases) for line in block]
    for upper in range(len(block)):
        for lower in range(upper + 1, len(block)):
            if block[lower].top >= block[upper].bottom:
                break
            for small in list(lines[lower]):
                _attach(small, lines, upper, lower)
    return [
        replace(line, phrases=tuple(phrases)) for line, phrases in zip(block, lines, strict=True) if phrases
    ]


def _attach(small: Phrase, lines: list[list[Phrase]], upper: int, lower: int) -> None:
    for index, phrase in enumerate(lines[upper]):
        last, first = phrase.words[-1], small.words[0]
        near = SUBSCRIPT * (last.bottom - last.top)
        if abs(first.x0 - last.x1) <= near and first.top < last.bottom - near:
            text = phrase.text + small.text
            lines[upper][index] = Phrase((*phrase.words, *small.words), text, phrase.x0, small.x1)
            lines[lower].remove(small)
            return
