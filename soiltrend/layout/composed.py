"""Names of fields put together from common words: 'Client sample reference', 'Date sample received'."""

from collections.abc import Sequence
from functools import cache

from soiltrend.data import load_toml

MOST_WORDS = 6
# For each field the classes of words of which its name must hold one each, and those it may hold besides.
# The first that fits counts.
_FIELDS: tuple[tuple[str, str, str], ...] = (
    ("date_received", "received", "date laboratory sample sampled"),
    ("date_reported", "reported date", "report"),
    ("date_reported", "report date", "reported"),
    ("date_sampled", "date sample|sampled", ""),
    ("date_sampled", "sample sampled", ""),
    ("date_sampled", "sampled", ""),
    ("depth", "depth", "sample sampled soil"),
    ("lab_number", "laboratory number|reference", "sample"),
    ("lab_number", "laboratory sample", ""),
    ("report", "report number|reference", "laboratory soil"),
    ("sample", "yours number|reference|sample", "customer"),
    ("sample", "customer reference", "sample yours"),
    ("sample", "customer sample", "name number place reference"),
    ("field", "place name|number|reference", "customer sample"),
    ("field", "place sample|sampled", "number"),
    ("sample", "sample name|number|reference", "soil"),
)


def composed_field(name: str) -> str:
    """Return the field that a name of common words is, ``""`` where any word of it is not one of them.

    ``name`` is in the form of :func:`soiltrend.layout.words.normal`.
    """
    words = [word for word in name.split() if word not in _words()["link"]]
    if not 0 < len(words) <= MOST_WORDS:
        return ""
    classes = [frozenset(kind for kind, known in _words().items() if word in known) for word in words]
    if not all(classes):
        return ""
    return next((field for field, needed, more in _FIELDS if _fits(classes, needed, more)), "")


def _fits(classes: Sequence[frozenset[str]], needed: str, more: str) -> bool:
    """Whether each word is of a class that is needed or may be there, and each needed one is there."""
    groups = [frozenset(group.split("|")) for group in needed.split()]
    allowed = frozenset(more.split()).union(*groups)
    return all(one & allowed for one in classes) and all(
        any(one & need for one in classes) for need in groups
    )


@cache
def _words() -> dict[str, frozenset[str]]:
    table = load_toml("report_words")["composed"]
    return {kind: frozenset(entry["words"]) for kind, entry in table.items()}
