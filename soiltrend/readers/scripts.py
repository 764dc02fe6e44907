"""Small letters set lower or higher than the rest: ``P₂O₅`` is one word, the mark of a footnote is none."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

Placed = dict[str, Any]
SMALL = 0.86  # of the height of a word: what is no higher is a script
LEVEL = 0.04  # of that height: less of a difference between two feet is none
HARDLY_SMALL, FAR = 0.97, 0.25  # the same for letters nearly as high that are set much lower or higher
TOUCH = 0.14  # of that height, how far a script may stand off the letters it joins
BLANK = 0.6  # the same for a mark behind a number, which a blank may part from it
LONGEST_MARK = 3  # letters of a footnote's mark
# Lengths after which a raised 2 or 3 is a power and no footnote: cm³ (common practice, no source).
_LENGTHS = frozenset({"m", "cm", "dm", "mm", "ft", "in", "yd"})
_CHARGE = frozenset("+-−–⁻")


def with_scripts(words: Sequence[Placed]) -> list[Placed]:
    """Return the words with each script joined to the letters it touches, and footnote marks left out.

    The word before a mark has it as its ``mark``.
    A script joins only letters: what is set off a number is never taken for more of its digits, nor for a
    result of its own.
    """
    sizes = [_height(word) for word in words]
    if not sizes or min(sizes) > HARDLY_SMALL * max(sizes):
        return list(words)
    row = _Row(words)
    for script in sorted(words, key=lambda word: float(word["x0"])):
        base = row.base_of(script) if row.has(script) else None
        if base is None:
            continue
        if _is_power(script["text"], base["text"]) or not (_is_raised(script, base) or _is_number(base)):
            row.join(base, script)
        elif _is_mark(script["text"]) and not row.slash_behind(script):
            base["mark"] = script["text"]
            row.drop(script)
    return [word for word in words if row.has(word)]


def parted_at_scripts(words: Sequence[Placed]) -> list[Placed]:
    """Part words with ``chars`` where letters are small and set higher or lower: ``Nitrogen`` and its mark.

    Some writers set a mark so little higher that it stands on the line of the word.
    """
    return [part for word in words for part in _parted(word)]


def _parted(word: Placed) -> list[Placed]:
    letters = (word.get("chars") or []) if word.get("upright", True) else []
    sizes = [_height(letter) for letter in letters]
    if len(letters) != len(word["text"]) or not sizes or min(sizes) > SMALL * max(sizes):
        return [word]
    base = letters[sizes.index(max(sizes))]
    runs = [list(run) for _, run in groupby(letters, key=lambda letter: _is_off(letter, base))]
    return [{**word, **_around(run)} for run in runs]


def _is_off(letter: Placed, base: Placed) -> bool:
    """Whether a letter is a script of another of its word."""
    size = _height(base)
    return _height(letter) <= SMALL * size and abs(letter["bottom"] - base["bottom"]) > LEVEL * size


def _around(run: Sequence[Placed]) -> Placed:
    return {
        "text": "".join(letter["text"] for letter in run),
        "x0": run[0]["x0"],
        "x1": run[-1]["x1"],
        "top": min(letter["top"] for letter in run),
        "bottom": max(letter["bottom"] for letter in run),
        "chars": list(run),
    }


class _Row:
    """The words of a page, found by where they begin and end."""

    def __init__(self, words: Sequence[Placed]) -> None:
        self._gone: set[int] = set()
        self._ends: dict[int, list[Placed]] = {}
        self._starts: dict[int, list[Placed]] = {}
        self._reach = BLANK * max(map(_height, words))
        for word in words:
            self._ends.setdefault(int(word["x1"]), []).append(word)
            self._starts.setdefault(int(word["x0"]), []).append(word)

    def has(self, word: Placed) -> bool:
        """Whether a word is still one of its own."""
        return id(word) not in self._gone

    def base_of(self, script: Placed) -> Placed | None:
        """Return the word that a script belongs to, None where it is no script or stands alone."""
        near = self._near(self._ends, script["x0"] - self._reach, script["x0"] + self._reach)
        found = [word for word in near if word is not script and _is_script(script, word)]
        return max(found, key=lambda word: float(word["x1"]), default=None)

    def join(self, base: Placed, script: Placed) -> None:
        """Join a script to its word, and the rest of the word behind it: the ``O`` of P₂O₅."""
        level, touch = LEVEL * _height(base), TOUCH * _height(base)
        near = self._near(self._starts, script["x1"] - touch, script["x1"] + touch)
        rest = next((w for w in near if w is not base and abs(w["bottom"] - base["bottom"]) <= level), None)
        for part in (script, rest):
            if part is not None:
                base["text"] += part["text"]
                base["x1"] = max(base["x1"], part["x1"])
                self.drop(part)
        self._ends.setdefault(int(base["x1"]), []).append(base)

    def drop(self, word: Placed) -> None:
        """Leave a word out."""
        self._gone.add(id(word))

    def slash_behind(self, script: Placed) -> bool:
        """Whether a script is the upper half of a fraction."""
        near = self._near(self._starts, script["x1"] - 1, script["x1"] + 1)
        return any(word["text"][0] in "/⁄" for word in near)

    def _near(self, places: dict[int, list[Placed]], low: float, high: float) -> Iterator[Placed]:
        for place in range(int(low), int(high) + 1):
            yield from (word for word in places.get(place, ()) if self.has(word))


def _height(word: Placed) -> float:
    return float(word["bottom"] - word["top"])


def _is_script(script: Placed, base: Placed) -> bool:
    """Whether a word is small, set lower or higher than another, and close behind it."""
    height = _height(base)
    gap = script["x0"] - base["x1"]
    if not -TOUCH * height <= gap <= (BLANK if _is_number(base) else TOUCH) * height:
        return False
    if script["top"] >= base["bottom"] or script["bottom"] <= base["top"]:
        return False
    size, shift = _height(script) / height, abs(script["bottom"] - base["bottom"]) / height
    return (size <= SMALL and shift > LEVEL) or (size <= HARDLY_SMALL and shift >= FAR)


def _is_number(word: Placed) -> bool:
    return bool(word["text"][-1:].isdigit())


def _is_raised(script: Placed, base: Placed) -> bool:
    return bool(script["bottom"] < base["bottom"])


def _is_power(text: str, base: str) -> bool:
    """Whether raised letters are a power of a unit or the charge of an ion."""
    if base[-1:].isdigit():
        return False
    unit = base.replace("(", " ").replace("/", " ").split()[-1:] or [""]
    charged = text[0] in _CHARGE or text[-1] in _CHARGE
    return charged or (unit[0].casefold() in _LENGTHS and text in ("2", "3"))


def _is_mark(text: str) -> bool:
    return len(text) <= LONGEST_MARK
