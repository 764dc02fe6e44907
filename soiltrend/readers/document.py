"""What every reader makes, whatever the file was: pages of placed words."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

Medium = Literal["grid", "text", "drawn"]
# Left, top, right and bottom in the page's own measure.
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Word:
    """One word, or one cell of a grid, and the box it fills.

    The box is in the page's own measure: rows and columns of a grid, lines and characters of a text,
    points of a drawn page; ``top`` grows downwards. ``line`` is the row or line that a person would count;
    ``sure`` (0 to 1) is how surely a recogniser of letters read the word; ``mark`` is the mark of a footnote
    set behind it.
    """

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    line: int
    sure: float = 1.0
    mark: str = ""

    @property
    def middle(self) -> float:
        """The middle of the box from left to right."""
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class Rule:
    """A drawn line, or a row of dashes or box-drawing characters in a text."""

    x0: float
    top: float
    x1: float
    bottom: float

    @property
    def upright(self) -> bool:
        """Whether it parts columns rather than rows."""
        return (self.bottom - self.top) > (self.x1 - self.x0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page, sheet or file of words in reading order.

    ``space`` is the widest gap that still joins two words to one phrase, in the page's measure; a grid
    has none, for each cell is a phrase of its own. ``cuts`` part words that stand closer than that and were
    written apart. ``name`` is the sheet's name. The boxes are those of the
    page after a turn to the left by ``turned`` degrees; ``scanned`` words were seen by character recognition.
    """

    number: int
    medium: Medium
    words: tuple[Word, ...]
    rules: tuple[Rule, ...] = ()
    cuts: tuple[Rule, ...] = ()
    space: float = 0.0
    name: str = ""
    turned: float = 0.0
    scanned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A file as pages of placed words. ``messages`` says what the reader did not read, and why."""

    source: str
    sha256: str
    kind: str
    pages: tuple[Page, ...]
    messages: tuple[str, ...] = field(default=())

    @property
    def several_pages(self) -> bool:
        """Whether a place must say its page or sheet."""
        return len(self.pages) > 1


def box_around(words: Iterable[Word]) -> Box | None:
    """Return the smallest box that holds all ``words``, None where there are none."""
    found = tuple(words)
    if not found:
        return None
    left, top = min(word.x0 for word in found), min(word.top for word in found)
    return left, top, max(word.x1 for word in found), max(word.bottom for word in found)


def grid_page(rows: Sequence[tuple[int, Sequence[str]]], *, number: int = 1, name: str = "") -> Page:
    """Make a page of cells. ``rows`` holds the row's own number and its cells from the first column on."""
    words = tuple(
        Word(" ".join(cell.split()), column, index, column + 1, index + 1, line)
        for index, (line, cells) in enumerate(rows)
        for column, cell in enumerate(cells)
        if cell.strip()
    )
    return Page(number=number, medium="grid", words=words, name=name)
