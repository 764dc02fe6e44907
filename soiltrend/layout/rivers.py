"""Columns of a text one blank apart: where the lines around are parted, a single blank parts too."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from soiltrend.layout.numerals import is_number
from soiltrend.readers.document import Word

AROUND = 12  # lines looked at above and below
BREAK = 1.5  # a blank line ends a table
FEWEST_HEADINGS, MOST_HEADINGS = 2, 0.7  # parted places of a line of headings: in number, as a share
LEAST_WIDE = 0.25  # share of the lines around that must show the column by two blanks or more
LEAST_EVEN = 0.6  # share of them that must begin or end a word in line with the column


@dataclass(frozen=True, slots=True)
class Row:
    """The gaps of one line, as (end of the word before, start of the word after), and where it lies."""

    top: float
    words: tuple[Word, ...]
    gaps: tuple[tuple[float, float], ...]

    def gap_at(self, x: float) -> float:
        """Return how wide the gap over ``x`` is; 0 where a word stands there."""
        return next((right - left for left, right in self.gaps if left <= x < right), 0.0)

    def begins_at(self, x: float) -> bool:
        """Whether a word begins at ``x``."""
        return any(word.x0 == x for word in self.words)

    def ends_at(self, x: float) -> bool:
        """Whether a word ends at ``x`` that does not begin the line: names there are set flush left."""
        return any(word.x1 == x for word in self.words[1:])

    def name_ends_at(self, x: float) -> bool:
        """Whether a word ends at ``x`` that is no number and does not begin the line."""
        return any(word.x1 == x and not is_number(word.text) for word in self.words[1:])

    def prints_at(self, word: Word) -> bool:
        """Whether something stands over or under ``word``."""
        return any(other.x0 < word.x1 and other.x1 > word.x0 for other in self.words)


def rivers_of(lines: Sequence[Sequence[Word]]) -> dict[int, set[float]]:
    """Return for each line where a gap of one blank parts two columns, as the end of the word before."""
    rows = [_row(words) for words in lines]
    found: dict[int, set[float]] = {}
    for index, row in enumerate(rows):
        narrow = [(left, right) for left, right in pairwise(row.words) if right.x0 - left.x1 == 1]
        around = _around(rows, index) if narrow else []
        parting = {
            left.x1
            for left, right in narrow
            if _is_river(left, right, around) or _ends_evenly(left, right, row, around)
        }
        if parting and (_is_of_table(row) or _are_headings(parting, around)):
            found[index] = parting
    return found


def _row(words: Sequence[Word]) -> Row:
    gaps = tuple((left.x1, right.x0) for left, right in pairwise(words))
    return Row(words[0].top, tuple(words), gaps)


def _is_of_table(row: Row) -> bool:
    """Whether a line is parted somewhere, or mostly numbers: a sentence or title is neither."""
    numbers = sum(is_number(word.text) for word in row.words)
    return any(right - left > 1 for left, right in row.gaps) or numbers * 2 >= len(row.words)


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
            if abs(rows[position].top - last.top) > BREAK:
                break
            last = rows[position]
            if any(right - left > 1 for left, right in last.gaps):
                found.append(last)
            position += step
    return found


def _is_river(left: Word, right: Word, around: Sequence[Row]) -> bool:
    """Whether all lines are blank there that reach so far, some by more, and a column is flush with it."""
    x = left.x1
    reaching = [row for row in around if row.words[0].x0 < x < row.words[-1].x1]
    gaps = [row.gap_at(x) for row in reaching]
    numbers = [row.gap_at(x) for row in reaching if any(is_number(word.text) for word in row.words)]
    wide = sum(gap > 1 for gap in gaps)
    if len(reaching) < 2 or wide < max(2, LEAST_WIDE * len(gaps)):
        return False  # one line alone is the heading over 'Bed 1', 'Bed 2'
    if 0.0 in (numbers if len(numbers) >= 2 else gaps):
        return False  # headings stacked over others may stand askew
    return _flush(left, right, [row for row in reaching if row.gap_at(x) > 1])


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
    end = next((one.x1 for one, other in pairwise(after) if other.x0 - one.x1 > 1), after[-1].x1)
    first = row.words[0].x0
    if any(gap_end - gap_start > 1 and gap_end <= left.x0 for gap_start, gap_end in row.gaps):
        return False
    even = [other for other in around if other.name_ends_at(end) and other.begins_at(first)]
    return (
        len(even) >= max(2, LEAST_EVEN * len(around))
        and all(other.gap_at(left.x1) > 1 for other in even)
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
