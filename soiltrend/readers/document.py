"""What every reader makes, whatever the file was: pages of placed words."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

Medium = Literal["grid", "text", "drawn"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word, or one cell of a grid, and the box it fills.

    The box is in the page's own measure: rows and columns of a grid, lines and characters of a text,
    points of a drawn page; ``top`` grows downwards. ``line`` is the row or line that a person would count.
    """

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    line: int

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
    has none, for each cell is a phrase of its own. ``name`` is the sheet's name.
    """

    number: int
    medium: Medium
    words: tuple[Word, ...]
    rules: tuple[Rule, ...] = ()
    space: float = 0.0
    name: str = ""


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


def grid_page(rows: Sequence[tuple[int, Sequence[str]]], *, number: int = 1, name: str = "") -> Page:
    """Make a page of cells. ``rows`` holds the row's own number and its cells from the first column on."""
    words = tuple(
        Word(" ".join(cell.split()), column, index, column + 1, index + 1, line)
        for index, (line, cells) in enumerate(rows)
        for column, cell in enumerate(cells)
        if cell.strip()
    )
    return Page(number=number, medium="grid", words=words, name=name)
