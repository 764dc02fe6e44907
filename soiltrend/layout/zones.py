"""Which words stand under which heading: columns found from the headings and the words below them."""

import re
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import inf

from soiltrend.layout.lines import Line, Phrase
from soiltrend.layout.numerals import is_number
from soiltrend.readers.document import Rule, Word
from soiltrend.vocabulary import match_unit

__all__ = ["Stack", "Zone", "cell", "cell_words", "grid_zones", "is_number", "zones_below"]

# Two columns of numbers under one heading are as unlikely as a column this many spaces off its heading.
SECOND_NUMBERS = 40.0
TEXT_BEFORE = 6.0  # the same for a column with words left of its numbers
TEXT_BEHIND = 1.0  # the same for words right of numbers, which are likely ratings
RANGE = 2.5  # blanks between a number and the dash of its range
OVERLAP = 0.3  # of a blank, how far a long name may run into the next column
DASHES_APART, DASHES_ABOVE = 3.0, 2.0  # blanks between runs of dashes; heights of a line over the rows
DOUBLE = 3.0  # a double rule parts two columns as one does
_THOUSANDS = re.compile(r"[<>]?\d{1,3}")
_HUNDREDS = re.compile(r"\d{3}(?:[.,]\d+)?")
_BETWEEN = frozenset({"-", "–", "—", "to", "bis", "à", "a", "..", "and"})


@dataclass(frozen=True, slots=True)
class Zone:
    """A column from ``x0`` up to ``x1``."""

    x0: float
    x1: float

    def holds(self, x: float) -> bool:
        """Whether ``x`` lies in the column."""
        return self.x0 <= x < self.x1

    def overlap(self, other: "Zone | Phrase") -> float:
        """Return the length that the column shares with ``other``."""
        return min(self.x1, other.x1) - max(self.x0, other.x0)


def cell(line: Line, zone: Zone) -> str:
    """Return the words of ``line`` whose middle lies in the column."""
    return " ".join(word.text for word in cell_words(line, zone))


def cell_words(line: Line, zone: Zone) -> list[Word]:
    """Return the words of ``line`` in the column."""
    return [word for word in line.words if zone.holds(word.middle)]


def grid_zones(headings: Sequence[Phrase]) -> list[Zone]:
    """Return the columns of a grid: each heading's own."""
    return [Zone(heading.x0, heading.x1) for heading in headings]


def zones_below(
    headings: Sequence[Phrase],
    body: Sequence[Line],
    space: float,
    results: Collection[int] = (),
    rules: Sequence[Rule] = (),
) -> list[Zone]:
    """Return one column for each heading, fitted to the words of ``body``.

    The words below are gathered to stacks that no blank column parts; the stacks go to the headings in
    order, each to a near one, and no heading gets two stacks of numbers while a neighbour gets none.
    ``results`` are the positions of headings that name results: words left of their numbers are unlikely.
    Where upright ``rules`` are drawn between headings and through the rows, or runs of dashes below each
    heading, they part the columns.
    """
    dashes = _dashes_below(headings, body, rules, space)
    if dashes:
        return dashes
    edges = [heading.x0 for heading in headings]
    stacks = _stacks([_whole_cells(line, edges, space) for line in body], OVERLAP * space)
    owner = _assign(headings, stacks, space, results)
    spans = [_span(heading, stacks, owner, index) for index, heading in enumerate(headings)]
    drawn = _drawn_through(body, rules)
    between = [
        _rule_between(one, other, drawn) or _cut(left, right)
        for (one, other), (left, right) in zip(pairwise(headings), pairwise(spans), strict=True)
    ]
    return [Zone(left, right) for left, right in pairwise([-inf, *between, inf])]


def _dashes_below(
    headings: Sequence[Phrase], body: Sequence[Line], rules: Sequence[Rule], space: float
) -> list[Zone]:
    """Return the columns that runs of dashes show between headings and rows: ``---- -------- ------``."""
    levels: dict[float, list[Rule]] = {}
    for rule in rules:
        if not rule.upright and body and rule.top <= body[0].top + 0.5:
            levels.setdefault(round(rule.top, 1), []).append(rule)
    runs = sorted(levels[max(levels)], key=lambda rule: rule.x0) if levels else []
    narrow = all(0 < right.x0 - left.x1 <= DASHES_APART * space for left, right in pairwise(runs))
    near = bool(runs) and body[0].top - runs[0].top <= DASHES_ABOVE * (body[0].bottom - body[0].top)
    if len(runs) < len(headings) or len(headings) < 2 or not (narrow and near):
        return []
    own = [[i for i, run in enumerate(runs) if run.x0 <= h.middle <= run.x1] for h in headings]
    if not all(own) or any(left >= right for (left,), (right,) in pairwise(own)):
        return []
    between = [(runs[right - 1].x1 + runs[right].x0) / 2 for (right,) in own[1:]]
    return [Zone(left, right) for left, right in pairwise([-inf, *between, inf])]


def _drawn_through(body: Sequence[Line], rules: Sequence[Rule]) -> list[float]:
    """Return where upright rules stand beside most rows."""
    places: list[float] = []
    for line in body:
        middle = (line.top + line.bottom) / 2
        places += {round(rule.x0, 1) for rule in rules if rule.upright and rule.top <= middle <= rule.bottom}
    return [x for x, count in Counter(places).items() if count * 2 > len(body)]


def _rule_between(one: Phrase, other: Phrase, places: Sequence[float]) -> float:
    """Return the place of the rule between two headings, 0 where there is none or more than one column."""
    inside = sorted(x for x in places if one.middle < x < other.middle)
    close = [x for x in inside if x - inside[0] < DOUBLE]
    return inside[0] if inside and len(close) == len(inside) else 0.0


@dataclass(frozen=True, slots=True)
class Stack:
    """Words below each other that no blank column parts."""

    x0: float
    x1: float
    numbers: bool


def _stacks(body: Sequence[Sequence[Word]], overlap: float) -> list[Stack]:
    words = sorted((word for line in body for word in line), key=lambda w: w.x0)
    groups: list[list[Word]] = []
    edge = -inf
    for word in words:
        if word.x0 >= edge - overlap:
            groups.append([])
        groups[-1].append(word)
        edge = max(edge, word.x1)
    return [_stack(group) for group in groups]


def _whole_ranges(words: Sequence[Word], space: float) -> list[Word]:
    """Join '150', 'to' and '250' to one word: two numbers of one column. A dash far from both is a cell."""
    near = RANGE * space
    joined: list[Word] = []
    for word in words:
        if (
            len(joined) >= 2
            and is_number(word.text)
            and joined[-1].text.lower() in _BETWEEN
            and is_number(joined[-2].text)
            and max(word.x0 - joined[-1].x1, joined[-1].x0 - joined[-2].x1) <= near
        ):
            joined[-2:] = [Word("… – …", joined[-2].x0, word.top, word.x1, word.bottom, word.line)]
        else:
            joined.append(word)
    return joined


def _whole_cells(line: Line, edges: Sequence[float], space: float) -> list[Word]:
    """Join 'Terrace 1' where it is one phrase that begins under a heading's left edge; leave out units."""
    joined: list[Word] = []
    ends = {phrase.x1 for phrase in line.phrases}
    for word in _whole_ranges(line.words, space):
        last = joined[-1] if joined else None
        if last is not None and last.x1 not in ends and is_number(last.text) and match_unit(word.text):
            continue  # a long unit may reach below the next heading
        if (
            last is not None
            and last.x1 not in ends
            and word.x0 - last.x1 <= space
            and (_is_rest_of_number(last.text, word.text) or _goes_on(last, word, edges, space))
        ):
            joined[-1] = Word(f"{last.text} {word.text}", last.x0, last.top, word.x1, last.bottom, last.line)
        else:
            joined.append(word)
    return joined


def _is_rest_of_number(text: str, rest: str) -> bool:
    """Whether two words are the thousands and the rest of one number: '7', '340'."""
    return bool(_THOUSANDS.fullmatch(text) and _HUNDREDS.fullmatch(rest))


def _goes_on(last: Word, word: Word, edges: Sequence[float], space: float) -> bool:
    """Whether a word goes on with a name that begins under a heading, and begins under none itself."""
    begins, other = (any(abs(one.x0 - edge) <= 0.1 * space for edge in edges) for one in (last, word))
    numbers = last.text[-1:].isdigit() and is_number(word.text)
    return begins and not other and not numbers and word.x0 - last.x1 >= OVERLAP * space


def _stack(words: list[Word]) -> Stack:
    numbers = sum(is_number(word.text) for word in words)
    return Stack(words[0].x0, max(word.x1 for word in words), numbers * 2 > len(words))


def _assign(
    headings: Sequence[Phrase], stacks: Sequence[Stack], space: float, results: Collection[int]
) -> list[int]:
    """Return for each stack the heading it belongs to, in order, at the least total distance."""

    @cache
    def best(stack: int, heading: int, numbers: bool, texts: bool) -> tuple[float, tuple[int, ...]]:
        if stack == len(stacks):
            return 0.0, ()
        options = []
        for target in range(heading, len(headings)):
            taken = numbers and target == heading
            here = _distance(headings[target], stacks[stack]) / space
            here += SECOND_NUMBERS if taken and stacks[stack].numbers else 0.0
            after_text = texts and target == heading
            mixed = after_text and stacks[stack].numbers and target in results
            here += TEXT_BEFORE if mixed else 0.0
            here += TEXT_BEHIND if taken and not stacks[stack].numbers else 0.0
            rest, owners = best(
                stack + 1,
                target,
                stacks[stack].numbers or taken,
                after_text or not stacks[stack].numbers,
            )
            options.append((here + rest, (target, *owners)))
        return min(options)

    return list(best(0, 0, False, False)[1])


def _distance(heading: Phrase, stack: Stack) -> float:
    gap = max(0.0, heading.x0 - stack.x1, stack.x0 - heading.x1)
    return gap + 0.01 * abs(heading.middle - (stack.x0 + stack.x1) / 2)


def _span(heading: Phrase, stacks: Sequence[Stack], owner: Sequence[int], index: int) -> tuple[float, float]:
    own = [stack for stack, of in zip(stacks, owner, strict=True) if of == index]
    if not own:
        return heading.x0, heading.x1
    return own[0].x0, max(stack.x1 for stack in own)


def _cut(left: tuple[float, float], right: tuple[float, float]) -> float:
    return (left[1] + right[0]) / 2
