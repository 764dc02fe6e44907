"""Names of fields that are put together from common words: 'Client sample reference', 'Date sample received'."""

from functools import cache

from soiltrend.data import load_toml

MOST_WORDS = 6
# Classes of words that may stand in the name of each field, the first that fits counts. A name must hold a word
# of each class in 'all' and none outside 'all' and 'more'.
_FIELDS: tuple[tuple[str, tuple[frozenset[str], ...], frozenset[str]], ...] = (
    ("date_received", (frozenset({"received"}),), frozenset({"date", "sample", "laboratory", "sampled"})),
    ("date_reported", (frozenset({"reported"}), frozenset({"date"})), frozenset({"report"})),
    ("date_reported", (frozenset({"report"}), frozenset({"date"})), frozenset({"reported"})),
    ("date_sampled", (frozenset({"date"}), frozenset({"sampled", "sample"})), frozenset()),
    ("date_sampled", (frozenset({"sample"}), frozenset({"sampled"})), frozenset()),
    ("depth", (frozenset({"depth"}),), frozenset({"sample", "sampled", "soil"})),
    ("lab_number", (frozenset({"laboratory"}), frozenset({"number", "reference"})), frozenset({"sample"})),
    ("lab_number", (frozenset({"laboratory"}), frozenset({"sample"})), frozenset()),
    ("report", (frozenset({"report"}), frozenset({"number", "reference"})), frozenset({"laboratory", "soil"})),
    ("sample", (frozenset({"yours"}), frozenset({"sample", "reference", "number"})), frozenset({"customer"})),
    ("sample", (frozenset({"customer"}), frozenset({"reference"})), frozenset({"sample", "yours"})),
    ("sample", (frozenset({"customer"}), frozenset({"sample"})), frozenset({"number", "reference", "name", "place"})),
    ("field", (frozenset({"place"}), frozenset({"number", "reference", "name"})), frozenset({"sample", "customer"})),
    ("field", (frozenset({"place"}), frozenset({"sample", "sampled"})), frozenset({"number"})),
    ("sample", (frozenset({"sample"}), frozenset({"number", "reference", "name"})), frozenset({"soil"})),
)  # fmt: skip


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
    for field, needed, more in _FIELDS:
        allowed = frozenset().union(*needed) | more
        if all(one & allowed for one in classes) and all(
            any(one & need for one in classes) for need in needed
        ):
            return field
    return ""


@cache
def _words() -> dict[str, frozenset[str]]:
    table = load_toml("report_words")["composed"]
    return {kind: frozenset(entry["words"]) for kind, entry in table.items()}
