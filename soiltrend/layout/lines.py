"""Placed words → lines of phrases: the same for grids, texts and drawn pages."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from soiltrend.layout.numerals import is_number
from soiltrend.layout.rivers import rivers_of
from soiltrend.readers.document import Page, Rule, Word

SIGNS = frozenset("<>≤≥")
LEAST_LETTERS = 4  # of two words of a picture that show how wide its letters are
LETTER_GAP = 1.25  # widths of a letter: a typewriter's blank, and a little more
SIGN_GAP = 1.5  # blanks between a sign and its number


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words that stand close together on one line, or one cell of a grid."""

    words: tuple[Word, ...]
    text: str
    x0: float
    x1: float

    @property
    def middle(self) -> float:
        """The middle of the phrase from left to right."""
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class Line:
    """Phrases from left to right. ``index`` counts the page's lines that hold words, from 0."""

    index: int
    number: int
    top: float
    bottom: float
    phrases: tuple[Phrase, ...]

    @property
    def text(self) -> str:
        """The whole line, its phrases two blanks apart."""
        return "  ".join(phrase.text for phrase in self.phrases)

    @property
    def words(self) -> tuple[Word, ...]:
        """All words of the line."""
        return tuple(word for phrase in self.phrases for word in phrase.words)


def phrase_of(words: Sequence[Word]) -> Phrase:
    """Join words of one line to one phrase."""
    return Phrase(tuple(words), " ".join(word.text for word in words), words[0].x0, words[-1].x1)


def lines_of(page: Page) -> list[Line]:
    """Return the page's lines from top to bottom."""
    lines: list[Line] = []
    rows = _rows(page)
    columns = page.medium != "grid" and not any(rule.upright for rule in page.rules)
    rivers = rivers_of(rows, page.space) if columns else {}
    for index, row in enumerate(rows):
        words = _with_signs(row, page)
        phrases = tuple(phrase_of(group) for group in _groups(words, page, rivers.get(index, set())))
        top, bottom = min(w.top for w in words), max(w.bottom for w in words)
        lines.append(Line(index, words[0].line, top, bottom, phrases))
    return lines


def _with_signs(words: list[Word], page: Page) -> list[Word]:
    """Join a sign to its number, however the line is parted: '<' and '0.2' are one result."""
    joined: list[Word] = []
    for word in words:
        last = joined[-1] if joined else None
        if (
            last is not None
            and page.medium != "grid"
            and last.text in SIGNS
            and is_number(word.text)
            and word.x0 - last.x1 <= SIGN_GAP * page.space
        ):
            joined[-1] = replace(word, text=last.text + word.text, x0=last.x0)
        else:
            joined.append(word)
    return joined


def _rows(page: Page) -> list[list[Word]]:
    """Gather the words whose boxes share most of their height."""
    rows: list[list[Word]] = []
    for word in sorted(page.words, key=lambda w: ((w.top + w.bottom) / 2, w.x0)):
        if rows and _same_row(rows[-1], word):
            rows[-1].append(word)
        else:
            rows.append([word])
    return [sorted(row, key=lambda w: w.x0) for row in rows]


def _same_row(row: list[Word], word: Word) -> bool:
    middle = (word.top + word.bottom) / 2
    first = row[0]
    height = min(first.bottom - first.top, word.bottom - word.top)
    return abs(middle - (first.top + first.bottom) / 2) < 0.5 * height


def _groups(words: list[Word], page: Page, rivers: Collection[float]) -> Iterable[list[Word]]:
    if page.medium == "grid":
        yield from ([word] for word in words)
        return
    upright = _upright_rules(words, (*page.rules, *page.cuts))
    group = [words[0]]
    for left, right in pairwise(words):
        if (
            right.x0 - left.x1 > _widest_blank(left, right, page)
            or left.x1 in rivers
            or _parted(left, right, upright)
        ):
            yield group
            group = []
        group.append(right)
    yield group


def _widest_blank(left: Word, right: Word, page: Page) -> float:
    """Return the widest gap within a phrase; in a picture by the letters too: they differ by line."""
    letters = len(left.text) + len(right.text)
    if not page.scanned or letters < LEAST_LETTERS:
        return page.space
    return max(page.space, LETTER_GAP * (right.x1 - right.x0 + left.x1 - left.x0) / letters)


def _upright_rules(words: list[Word], rules: Sequence[Rule]) -> list[Rule]:
    top, bottom = min(w.top for w in words), max(w.bottom for w in words)
    middle = (top + bottom) / 2
    return [rule for rule in rules if rule.upright and rule.top <= middle <= rule.bottom]


def _parted(left: Word, right: Word, rules: list[Rule]) -> bool:
    return any(left.middle < rule.x0 < right.middle for rule in rules)
