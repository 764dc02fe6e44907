"""Small letters set lower or higher than the rest: ``P₂O₅`` is one word, the mark of a footnote is none."""

from collections.abc import Sequence
from typing import Any

Placed = dict[str, Any]
SMALL = 0.86  # of the height of a word: what is no higher is a script
TOUCH = 0.14  # of that height, how far a script may stand off its word
LEVEL = 0.04  # of that height: less of a difference between two feet is none
HARDLY_SMALL, FAR = 0.97, 0.25  # the same for letters nearly as high that are set much lower or higher
# Lengths after which a raised 2 or 3 is a power and no footnote: cm³ (common practice, no source).
_LENGTHS = frozenset({"m", "cm", "dm", "mm", "ft", "in", "yd"})
_CHARGE = frozenset("+-−–⁻")


def with_scripts(words: Sequence[Placed]) -> list[Placed]:
    """Return the words with each small low one joined to the word it touches, and footnote marks left out.

    A script joins only letters: digits raised behind a number are never taken for more of its digits.
    """
    sizes = [word["bottom"] - word["top"] for word in words]
    if not sizes or min(sizes) > HARDLY_SMALL * max(sizes):
        return list(words)
    found = sorted(words, key=lambda word: float(word["x0"]))
    position = 0
    while position < len(found):
        script = found[position]
        base = _base(found, script)
        if base is None:
            position += 1
        elif _is_raised(script, base):
            position += _raise(found, base, script, position)
        elif base["text"][-1:].isdigit():
            position += 1
        else:
            _join(base, script)
            found.pop(position)
            _go_on(found, base, script)
            position = max(0, found.index(base))
    return found


def _base(words: Sequence[Placed], script: Placed) -> Placed | None:
    """Return the word that a small one touches on its right, None where it is not small or touches none."""
    size = script["bottom"] - script["top"]
    for word in words:
        height = word["bottom"] - word["top"]
        if (
            word is not script
            and abs(script["x0"] - word["x1"]) <= TOUCH * height
            and script["top"] < word["bottom"]
            and script["bottom"] > word["top"]
            and _is_set_off(size / height, abs(script["bottom"] - word["bottom"]) / height)
        ):
            return word
    return None


def _is_set_off(size: float, shift: float) -> bool:
    """Whether letters of a relative size, shifted by so much, are a script; both in heights of the word."""
    return (size <= SMALL and shift > LEVEL) or (size <= HARDLY_SMALL and shift >= FAR)


def _is_raised(script: Placed, base: Placed) -> bool:
    return bool(script["bottom"] < base["bottom"])


def _raise(words: list[Placed], base: Placed, script: Placed, position: int) -> int:
    """Join a power or a charge; leave a footnote's mark out. Returns how far to go on."""
    text = script["text"]
    unit = base["text"].replace("(", " ").replace("/", " ").split()[-1:] or [""]
    if text[0] in _CHARGE or text[-1] in _CHARGE or (unit[0].casefold() in _LENGTHS and text in ("2", "3")):
        _join(base, script)
        words.pop(position)
        return 0
    follows = any(abs(word["x0"] - script["x1"]) < LEVEL for word in words if word["text"][0] in "/⁄")
    if follows or len(text) > 2:
        return 1
    words.pop(position)
    return 0


def _join(base: Placed, other: Placed) -> None:
    base["text"] += other["text"]
    base["x1"] = max(base["x1"], other["x1"])


def _go_on(words: list[Placed], base: Placed, script: Placed) -> None:
    """Join the rest of the word behind a script: the ``O`` of P₂O₅, the bracket of (CaCl₂)."""
    height = base["bottom"] - base["top"]
    for word in words:
        same_foot = abs(word["bottom"] - base["bottom"]) <= LEVEL * height
        if word is not base and same_foot and abs(word["x0"] - script["x1"]) <= TOUCH * height:
            _join(base, word)
            words.remove(word)
            return
