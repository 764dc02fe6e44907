"""Lines of one cell → one text; lines put together → the page's lines, numbered anew."""

import re
from collections.abc import Sequence
from dataclasses import replace

from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line

# A word of letters only, parted at its end, and what can go on with it.
_PARTED = re.compile(r"[^\W\d_]{2}[-\u2010]$")
_REST = re.compile(r"[^\W\d_]{2}")


def renumbered(lines: Sequence[Line]) -> list[Line]:
    """Return the lines with their indices as they now follow each other."""
    return [replace(line, index=index) for index, line in enumerate(lines)]


def joined(upper: str, lower: str) -> str:
    """Join two lines of one cell: 'PHOS-' and 'PHORUS' are one word, 'NO3-' and 'N' keep their hyphen."""
    if _PARTED.search(upper) and _REST.match(lower) and upper[-2].isupper() == lower[1].isupper():
        return upper[:-1] + lower
    broken = lower[:1].islower() and upper[-1:].isalpha() and not (label_of(upper).known or lower[:2] == "pH")
    if broken and label_of(upper + lower).names_result:
        return upper + lower  # a narrow cell broke the word: 'Phosphoru', 's'
    hangs = upper.endswith(("-", "/")) and not upper[:-1].endswith(" ") and lower[:1].isalnum()
    return upper + lower if hangs else f"{upper} {lower}"
