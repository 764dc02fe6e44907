"""Blanks that a PDF holds as letters: words without one between them were written apart."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from soiltrend.readers.document import Rule

Placed = dict[str, Any]
FEWEST = 3  # gaps with a blank in them that show that the file's program writes blanks
LEAST_GAP = 0.12  # of the type size: closer letters may be one word drawn in two pieces


def cuts_between(words: Sequence[Placed], letters: Sequence[Placed], space: float) -> list[Rule]:
    """Return an upright cut in each narrow gap that holds no blank, where the file's program writes blanks.

    Cells of a table are written one by one and may stand closer than two words of a sentence; ``space`` is
    the widest gap that could be within a phrase.
    """
    blanks = [letter for letter in letters if not str(letter["text"]).strip() and letter["text"]]
    if len(blanks) < FEWEST:
        return []
    gaps = [pair for line in _lines(words) for pair in pairwise(line) if _is_narrow(*pair, space)]
    marked = [(pair, _holds_blank(*pair, blanks)) for pair in gaps]
    if sum(held for _, held in marked) < FEWEST:
        return []
    return [_cut(*pair) for pair, held in marked if not held]


def _lines(words: Sequence[Placed]) -> list[list[Placed]]:
    lines: dict[int, list[Placed]] = {}
    for word in words:
        lines.setdefault(round((word["top"] + word["bottom"]) / 2), []).append(word)
    return [sorted(line, key=lambda word: float(word["x0"])) for line in lines.values()]


def _is_narrow(left: Placed, right: Placed, space: float) -> bool:
    size = min(left["bottom"] - left["top"], right["bottom"] - right["top"])
    return bool(LEAST_GAP * size <= right["x0"] - left["x1"] <= space)


def _holds_blank(left: Placed, right: Placed, blanks: Sequence[Placed]) -> bool:
    middle = (left["top"] + left["bottom"]) / 2
    return any(
        blank["top"] <= middle <= blank["bottom"]
        and left["x1"] - 0.5 <= (blank["x0"] + blank["x1"]) / 2 <= right["x0"] + 0.5
        for blank in blanks
    )


def _cut(left: Placed, right: Placed) -> Rule:
    middle = (left["x1"] + right["x0"]) / 2
    return Rule(middle, min(left["top"], right["top"]), middle, max(left["bottom"], right["bottom"]))
