"""How far a group of headings reaches over the names below it."""

from collections.abc import Sequence
from typing import Protocol

from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.zones import Zone
from soiltrend.readers.document import Page
from soiltrend.vocabulary import match_method, match_unit

NO_ROOM = 3.0  # blanks on both sides together that leave no room for a column
LEAST_RUN = 3  # columns around a method that all can be made by it
CENTRED = 0.3  # of the step between two names, how far a group may be off their middle
LEFT_EDGE = 0.05  # of its width, how far a group set flush left may be off the name below


def reach_of(line: Line, index: int, page: Page, names: Sequence[Phrase]) -> Zone:
    """Return how far a group reaches: up to the next filled cell, its rules, or the names it is set over."""
    phrase = line.phrases[index]
    if page.medium != "grid":
        return _between_rules(line, phrase, page) or _set_over(line, index, names)
    following = line.phrases[index + 1].x0 if index + 1 < len(line.phrases) else names[-1].x1
    return Zone(phrase.x0, max(phrase.x1, following))


def names_shares(text: str) -> bool:
    """Whether a heading tells that the cations below are shares of the exchange capacity, naming none."""
    whole, alone = label_of(f"{text} K").analyte, label_of(text).analyte
    if match_unit(text) or whole is None or whole.kind != "saturation":
        return False
    return alone is None or alone.analyte in ("", "base_saturation")


class Extent(Protocol):
    """Something with a left and a right edge."""

    @property
    def x0(self) -> float: ...  # noqa: D102

    @property
    def x1(self) -> float: ...  # noqa: D102


def stands_between(phrase: Phrase, names: Sequence[Extent], space: float) -> bool:
    """Whether a name is set over the gap between two headings, where no column of its own has room."""
    left = max((name.x1 for name in names if name.x1 <= phrase.x0), default=None)
    right = min((name.x0 for name in names if name.x0 >= phrase.x1), default=None)
    if left is None or right is None:
        return False
    return right - left < (phrase.x1 - phrase.x0) + NO_ROOM * space and bool(label_of(phrase.text).analyte)


def _between_rules(line: Line, phrase: Phrase, page: Page) -> Zone | None:
    """Return the cell that upright rules draw around a phrase, None where they do not on both sides."""
    middle = (line.top + line.bottom) / 2
    rules = [rule.x0 for rule in page.rules if rule.upright and rule.top <= middle <= rule.bottom]
    left = [x for x in rules if x <= phrase.x0 + 1]
    right = [x for x in rules if x >= phrase.x1 - 1]
    if not left or not right:
        return None
    cell = Zone(max(left), min(right))
    alone = sum(cell.holds(other.middle) for other in line.phrases) == 1
    return cell if alone else None  # a frame around all of them is no cell


def _set_over(line: Line, index: int, names: Sequence[Phrase]) -> Zone:
    """Return the run of names that a group is set over, by its centre or its left edge."""
    phrase = line.phrases[index]
    printed = Zone(phrase.x0, phrase.x1)
    start = line.phrases[index - 1].x1 if index else float("-inf")
    end = line.phrases[index + 1].x0 if index + 1 < len(line.phrases) else float("inf")
    free = [name for name in names if start < name.middle < end]
    under = [name for name in free if printed.overlap(name) > 0]
    shares = names_shares(phrase.text)
    if not under and len(free) > 0 and (between := _between_names(phrase, free)):
        return between
    if not under or (len(under) < 2 and not shares):
        return printed
    first, last = free.index(under[0]), free.index(under[-1])
    if abs(phrase.x0 - under[0].x0) <= LEFT_EDGE * (phrase.x1 - phrase.x0):
        return Zone(phrase.x0, max(phrase.x1, free[-1].x1))
    step = (free[-1].middle - free[0].middle) / max(1, len(free) - 1)
    runs = [
        (free[a].x0, free[b].x1)
        for a in range(first + 1)
        for b in range(last, len(free))
        if abs((free[a].middle + free[b].middle) / 2 - phrase.middle) <= CENTRED * step
        and not (shares and any(not label_of(name.text).analyte for name in free[a : b + 1]))
    ]
    widest = max(runs, key=lambda run: run[1] - run[0], default=(phrase.x0, phrase.x1))
    return Zone(min(widest[0], phrase.x0), max(widest[1], phrase.x1))


def _between_names(phrase: Phrase, names: Sequence[Phrase]) -> Zone | None:
    """Return the two names between which a group stands in the middle."""
    left = [name for name in names if name.x1 <= phrase.x0]
    right = [name for name in names if name.x0 >= phrase.x1]
    if not left or not right:
        return None
    whole = _run_of_method(phrase, names, len(left))
    if whole:
        return whole
    first, last = left[-1], right[0]
    middle, step = (first.middle + last.middle) / 2, last.middle - first.middle
    return Zone(first.x0, last.x1) if abs(middle - phrase.middle) <= CENTRED * step else None


def _run_of_method(phrase: Phrase, names: Sequence[Phrase], behind: int) -> Zone | None:
    """Return the columns around a method of which all can be made by it, where it is set over their middle.

    ``behind`` is the first name right of it.
    """
    fits = [_is_made_by(phrase.text, name) for name in names]
    start, end = behind, behind
    while start and fits[start - 1]:
        start -= 1
    while end < len(names) and fits[end]:
        end += 1
    if end - start < LEAST_RUN or not start < behind < end:
        return None
    run = names[start:end]
    middle, step = (run[0].x0 + run[-1].x1) / 2, (run[-1].middle - run[0].middle) / (len(run) - 1)
    return Zone(run[0].x0, run[-1].x1) if abs(middle - phrase.middle) <= CENTRED * step else None


def _is_made_by(method: str, name: Phrase) -> bool:
    analyte = label_of(name.text).analyte
    return analyte is not None and bool(match_method(method, analyte.analyte))
