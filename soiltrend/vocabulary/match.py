"""What a heading says, and its words with their meanings."""

from dataclasses import dataclass
from typing import Literal

from soiltrend.data import load_toml
from soiltrend.vocabulary.choice import Chosen
from soiltrend.vocabulary.lexicon import spelled
from soiltrend.vocabulary.phrase import Phrase

Kind = Literal[
    "result",
    "saturation",
    "recommendation",
    "rating",
    "ratio",
    "range",
    "index",
    "estimate",
    "previous",
    "summary",
    "ambiguous",
    "other",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnalyteMatch:
    """What a heading, row label or left-hand side says.

    ``analyte`` is a vocabulary name (``""`` where ``kind`` alone is known); ``form`` the chemical form
    printed (``""`` for the element); ``unit`` a unit code or ``""``. Only ``kind`` ``result`` and
    ``saturation`` are results: anything else is to be left alone, and ``why`` says why. ``weak`` matches
    (one letter, an abbreviation with other meanings) need something beside them that supports them.
    ``exact`` is False where words were not understood, and for the kinds ``previous``, ``summary``,
    ``ambiguous`` and ``other``; the words that did it are in ``leftover``. ``notes`` are codes for the
    long table.
    """

    analyte: str
    kind: Kind = "result"
    form: str = ""
    unit: str = ""
    unit_printed: str = ""
    method: str = ""
    method_printed: str = ""
    depth_printed: str = ""
    leftover: tuple[str, ...] = ()
    exact: bool = True
    weak: bool = False
    notes: tuple[str, ...] = ()
    why: str = ""

    @property
    def is_result(self) -> bool:
        """Whether the numbers beside this heading are measured results."""
        return bool(self.analyte) and self.kind in ("result", "saturation")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The words of one phrase with their meanings, and what they say together."""

    phrase: Phrase
    chosen: tuple[Chosen, ...]

    def having(self, *roles: str) -> tuple[Chosen, ...]:
        """Return the words in one of these roles."""
        return tuple(c for c in self.chosen if c.entry.role in roles)

    @property
    def kind(self) -> str:
        """The weightiest kind word: a recommended rate outweighs a rating, that an index, and so on."""
        table = load_toml("words")["kind"]
        said = {c.entry.value for c in self.having("kind") if not (self.phrase.unit and self._mild(c))}
        return next((kind for kind in table if kind in said), "")

    @property
    def extracted(self) -> bool:
        """Whether a word such as ``available`` or ``exchangeable`` makes the symbol beside it an element."""
        said = {c.item.folded for c in self.having("filler")}
        return bool(said & (spelled(*load_toml("words")["result_words"]) - {"soil", "sol", "boden", "test"}))

    @staticmethod
    def _mild(chosen: Chosen) -> bool:
        """Whether this kind word means nothing beside a unit (``level``)."""
        row = load_toml("words")["kind"][chosen.entry.value]
        return chosen.item.folded in spelled(*row.get("unless_unit", ()))


def why(kind: str) -> str:
    """Return the sentence that says why a number of this kind is left alone."""
    return str(load_toml("words")["kind"].get(kind, {}).get("why", ""))
