"""One piece of a sentence that carries a meaning."""

import unicodedata
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of a sentence: ``kind`` is its part, ``value`` its meaning, ``text`` how it was said."""

    kind: str
    value: str | float
    text: str


def plain(text: str) -> str:
    """Return ``text`` as phrases are compared: no accents, no capitals."""
    decomposed = unicodedata.normalize("NFKD", text.replace("’", "'"))
    return "".join(c for c in decomposed if not unicodedata.combining(c)).casefold().strip()
