"""The laboratory's name: told in a field, or printed at the head of the report."""

import re
from collections.abc import Sequence

from soiltrend.data import load_toml

HEAD = 12  # lines from the top in which a letterhead stands
LONGEST = 70
SIGNED = 5  # words of a name under a letter


def laboratory(told: Sequence[str], lines: Sequence[str]) -> str:
    """Return the laboratory's name, ``""`` where the report does not say it.

    ``told`` are the texts of a field 'Laboratory'; ``lines`` the lines of the report from the top.
    """
    if told:
        return told[0]
    words = load_toml("laboratory_words")
    for line in lines[:HEAD]:
        for part in re.split(r"\s{2,}|\s[-–—|]\s", line):
            if _names_a_laboratory(part, words):
                return _inside_brackets(part.strip(" ,;-–|*#"), words)
    found = next((line.strip() for line in lines[HEAD:] if _signs(line, words)), "")
    return _inside_brackets(found, words)


def _inside_brackets(text: str, words: dict[str, list[str]]) -> str:
    """Return the name in brackets behind a person's: 'Tom (Calder Soil Lab)'."""
    found = re.search(r"\(([^()]+)\)", text)
    return found[1].strip() if found and _names_a_laboratory(found[1], words) else text


def _signs(line: str, words: dict[str, list[str]]) -> bool:
    """Whether a line further down is a laboratory's name and nothing else, as under a letter."""
    parts = line.split()
    return (
        len(parts) <= SIGNED
        and all(part[:1].isupper() for part in parts)
        and _names_a_laboratory(line, words)
    )


def _names_a_laboratory(text: str, words: dict[str, list[str]]) -> bool:
    """Whether a part of the letterhead has a word for a laboratory and something before or after it."""
    plain = text.casefold()
    if len(text) > LONGEST or ":" in text or any(no in plain for no in words["never"]):
        return False
    return len(text.split()) > 1 and any(re.search(rf"\b{word}", plain) for word in words["holds"])
