"""Columns no wider apart than words: where the lines around are parted, a narrow gap parts too."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from statistics import median

from soiltrend.layout.numerals import is_number
from soiltrend.readers.document import Word

AROUND = 12  # lines looked at above and below
BREAK = 1.9  # heights of a line: a blank line ends a table
EVEN = 0.35  # of the widest gap within a phrase: how far two edges in line may differ
FEWEST_HEADINGS, MOST_HEADINGS = 2, 0.7  # parted places of a line of headings: in number, as a share
LEAST_WIDE = 0.25  # share of the lines around that must show the column by two blanks or more
LEAST_EVEN = 0.6  # share of them that must begin or end a word in line with the column


@dataclass(frozen=True, slots=True)
class Row:
    """The gaps of one line, as (end of the word before, start of the word after), and where it lies."""

    top: float
    height: float
    words: tuple[Word, ...]
    gaps: tuple[tuple[float, float], ...]
    space: float

    def gap_at(self, x: float) -> float:
        """Return how wide the gap over ``x`` is; 0 where a word stands there."""
        return next((right - left for left, right in self.gaps if left <= x < right), 0.0)

    def begins_at(self, x: float) -> bool:
        """Whether a word begins at ``x``."""
        return any(abs(word.x0 - x) <= EVEN * self.space for word in self.words)

    def ends_at(self, x: float) -> bool:
        """Whether a word ends at ``x`` that does not begin the line: names there are set flush left."""
        return any(abs(word.x1 - x) <= EVEN * self.space for word in self.words[1:])

    def name_ends_at(self, x: float) -> bool:
        """Whether a word ends at ``x`` that is no number and does not begin the line."""
        near = [word for word in self.words[1:] if abs(word.x1 - x) <= EVEN * self.space]
        return any(not is_number(word.text) for word in near)

    def prints(self, x0: float, x1: float) -> bool:
        """Whether something stands between two places."""
        return any(word.x0 < x1 and word.x1 > x0 for word in self.words)

    def prints_at(self, word: Word) -> bool:
        """Whether something stands over or under ``word``."""
        return self.prints(word.x0, word.x1)


def rivers_of(lines: Sequence[Sequence[Word]], space: float) -> dict[int, set[float]]:
    """Return for each line where a narrow gap parts two columns, as the end of the word before.

    ``space`` is the widest gap that words of one phrase have between them.
    """
    rows = [_row(words, space) for words in lines]
    found: dict[int, set[float]] = {}
    for index, row in enumerate(rows):
        narrow = [(left, right) for left, right in pairwise(row.words) if 0 < right.x0 - left.x1 <= space]
        around = _around(rows, index) if narrow else []
        parting = {
            left.x1
            for left, right in narrow
            if _is_river(left, right, row, around) or _ends_evenly(left, right, row, around)
        }
        if parting and (_is_of_table(row) or _are_headings(parting, around)):
            found[index] = parting
    return found


def _row(words: Sequence[Word], space: float) -> Row:
    gaps = tuple((left.x1, right.x0) for left, right in pairwise(words))
    top, bottom = min(word.top for word in words), max(word.bottom for word in words)
    return Row(top, bottom - top, tuple(words), gaps, space)


def _is_of_table(row: Row) -> bool:
    """Whether a line is parted somewhere, or mostly numbers: a sentence or title is neither."""
    numbers = sum(is_number(word.text) for word in row.words)
    return any(right - left > row.space for left, right in row.gaps) or numbers * 2 >= len(row.words)


def _are_headings(parting: set[float], around: Sequence[Row]) -> bool:
    """Whether a line without a wide gap is parted about as often as the lines around it."""
    usual = median(len(row.gaps) for row in around)
    return len(parting) >= max(FEWEST_HEADINGS, MOST_HEADINGS * usual)


def _around(rows: Sequence[Row], index: int) -> list[Row]:
    """Return the lines of the same table, as far as no wide gap of blank lines comes between."""
    found: list[Row] = []
    for step in (-1, 1):
        last, position = rows[index], index + step
        while 0 <= position < len(rows) and abs(position - index) <= AROUND:
            if abs(rows[position].top - last.top) > BREAK * max(last.height, rows[position].height):
                break
            last = rows[position]
            if any(right - left > last.space for left, right in last.gaps):
                found.append(last)
            position += step
    return found


def _is_river(left: Word, right: Word, row: Row, around: Sequence[Row]) -> bool:
    """Whether all lines are blank there that reach so far, some by more, and a column is flush with it."""
    x = (left.x1 + right.x0) / 2
    reaching = [row for row in around if row.words[0].x0 < x < row.words[-1].x1]
    gaps = [row.gap_at(x) for row in reaching]
    numbers = [row.gap_at(x) for row in reaching if any(is_number(word.text) for word in row.words)]
    wide = sum(row.gap_at(x) > row.space for row in reaching)
    if len(reaching) < 2 or wide < max(2, LEAST_WIDE * len(gaps)):
        return False  # one line alone is the heading over 'Bed 1', 'Bed 2'
    if 0.0 in (numbers if len(numbers) >= 2 else gaps):
        return False  # headings stacked over others may stand askew
    parted = [other for other in reaching if other.gap_at(x) > other.space]
    return _stands_between(left, right, row, parted) and _flush(left, right, parted)


def _stands_between(left: Word, right: Word, row: Row, parted: Sequence[Row]) -> bool:
    """Whether lines print something over or under both sides: nothing does for the '(cm)' of a heading."""
    start = max(
        (stop for begin, stop in row.gaps if stop - begin > row.space and stop <= left.x0), default=-inf
    )
    end = min(
        (begin for begin, stop in row.gaps if stop - begin > row.space and begin >= right.x1), default=inf
    )
    start, end = max(start, row.words[0].x0), min(end, row.words[-1].x1)
    before = sum(other.prints(start, left.x1) for other in parted)
    after = sum(other.prints(right.x0, end) for other in parted)
    return min(before, after) * 2 >= len(parted)


def _flush(left: Word, right: Word, rows: Sequence[Row]) -> bool:
    """Whether a column set flush left begins at ``right``, or one set flush right ends at ``left``."""
    enough = LEAST_EVEN * len(rows)
    begins = sum(row.begins_at(right.x0) for row in rows) >= enough
    ends = sum(row.ends_at(left.x1) for row in rows) >= enough
    right_ends = sum(row.ends_at(right.x1) for row in rows) >= enough
    below_left = any(row.prints_at(left) for row in rows)
    if is_number(right.text) and (begins or right_ends) and below_left:
        return True
    style = _style(rows)
    if style:
        return begins if style == "left" else ends
    return (ends or begins) and below_left and any(row.prints_at(right) for row in rows)


def _ends_evenly(left: Word, right: Word, row: Row, around: Sequence[Row]) -> bool:
    """Whether a name set flush left is followed by one set flush right, which ends where most others do."""
    after = [word for word in row.words if word.x0 >= right.x0]
    end = next((one.x1 for one, other in pairwise(after) if other.x0 - one.x1 > row.space), after[-1].x1)
    first = row.words[0].x0
    if any(stop - start > row.space and stop <= left.x0 for start, stop in row.gaps):
        return False
    even = [other for other in around if other.name_ends_at(end) and other.begins_at(first)]
    return (
        len(even) >= max(2, LEAST_EVEN * len(around))
        and all(other.gap_at((left.x1 + right.x0) / 2) > other.space for other in even)
        and not is_number(right.text)
    )


def _style(rows: Sequence[Row]) -> str:
    """Return on which side numbers below each other are flush: ``left``, ``right`` or ``""``."""
    begins = ends = 0
    for upper, lower in pairwise(rows):
        for word in lower.words:
            if is_number(word.text):
                begins += upper.begins_at(word.x0)
                ends += upper.ends_at(word.x1)
    return "" if begins == ends else "left" if begins > ends else "right"
