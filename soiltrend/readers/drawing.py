"""What is typed to draw with: leaders of dots, frames of bars and dashes on a page of placed words."""

import re
from collections.abc import Sequence
from typing import Any

from soiltrend.readers.document import Rule
from soiltrend.readers.plain import LEADER, UPRIGHT, is_frame

Placed = dict[str, Any]
_DOTS = re.compile(r"[.…·_]+")


def without_drawing(words: Sequence[Placed]) -> tuple[list[Placed], list[Rule]]:
    """Return the words without leaders and frames, and the upright bars of frames as rules."""
    kept: list[Placed] = []
    bars: list[Rule] = []
    for word in words:
        text = word["text"]
        if text and all(letter in UPRIGHT for letter in text):
            middle = (word["x0"] + word["x1"]) / 2
            bars.append(Rule(middle, word["top"], middle, word["bottom"]))
        elif not is_frame(text) and not _DOTS.fullmatch(text):
            kept += _parts(word)
    return kept, bars


def _parts(word: Placed) -> list[Placed]:
    """Part a word at the leaders in it: ``pH......6.5``."""
    text = word["text"]
    leaders = list(LEADER.finditer(text))
    if not leaders:
        return [word]
    parts: list[Placed] = []
    start = 0
    for begin, end in [*((m.start(), m.end()) for m in leaders), (len(text), len(text))]:
        if begin > start:
            edges = {"x0": _edge(word, start), "x1": _edge(word, begin)}
            parts.append({**word, "text": text[start:begin], **edges})
        start = end
    return parts


def _edge(word: Placed, place: int) -> float:
    """Return where a letter of a word begins: by its letters where they are known, else by its share."""
    letters = word.get("chars", ())
    if len(letters) == len(word["text"]):
        return float(letters[place]["x0"] if place < len(letters) else letters[-1]["x1"])
    share = place / len(word["text"])
    return float(word["x0"] + share * (word["x1"] - word["x0"]))
