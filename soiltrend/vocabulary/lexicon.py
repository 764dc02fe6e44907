"""Every printed spelling as one dictionary of word sequences, and the cutting of a phrase by it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from soiltrend.data import load_toml
from soiltrend.data.spelling import GAP, Token, words

Role = Literal[
    "analyte",
    "form",
    "generic",
    "method",
    "kind",
    "other",
    "filler",
    "finish",
    "connect",
    "stop",
    "detail",
    "",
]
Case = Literal["exact", "upper", "lower", "any"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What one spelling stands for. ``cased`` holds its words where the case matters."""

    role: Role
    value: str = ""
    analyte: str = ""
    method: str = ""
    cased: tuple[str, ...] | None = None
    variants: bool = False
    weak: bool = False
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """A run of words of a phrase and what it may stand for, each with how its case was met."""

    entries: tuple[tuple[Entry, Case], ...]
    tokens: tuple[Token, ...]

    @property
    def text(self) -> str:
        """The words as printed."""
        return " ".join(token.text for token in self.tokens)

    @property
    def folded(self) -> str:
        """The words in lower case without accents, as :func:`spelled` makes them."""
        return " ".join(token.folded for token in self.tokens)


def _analyte_entries() -> Iterator[tuple[str, Entry]]:
    for name, row in load_toml("analytes").items():
        for spelling in row.get("names", ()):
            yield spelling, Entry(role="analyte", analyte=name)
        for spelling in row.get("weak_names", ()):
            yield spelling, Entry(role="analyte", analyte=name, weak=True)
        for spelling in row.get("symbols", ()):
            yield (
                spelling,
                Entry(
                    role="analyte",
                    analyte=name,
                    cased=words(spelling),
                    variants=True,
                    weak=len(spelling) == 1 or spelling.lower() in never_alone(),
                ),
            )
        for spelling in row.get("abbreviations", ()):
            yield spelling, Entry(role="analyte", analyte=name, cased=words(spelling))
        for spelling in row.get("weak", ()):
            yield spelling, Entry(role="analyte", analyte=name, cased=words(spelling), weak=True)


def _method_entries() -> Iterator[tuple[str, Entry]]:
    for name, row in load_toml("methods")["method"].items():
        implied = row.get("implies", "")
        for spelling in row.get("spellings", ()):
            yield spelling, Entry(role="method", method=name, analyte=implied)
        for spelling in row.get("assumed", ()):
            yield spelling, Entry(role="method", method=name, analyte=implied, assumed=True)
        for spelling in row.get("cased", ()):
            yield spelling, Entry(role="method", method=name, analyte=implied, cased=words(spelling))
        for key, weak in (("named", False), ("weakly_named", True)):
            for analyte, spellings in row.get(key, {}).items():
                for spelling in spellings:
                    one_word = len(words(spelling)) == 1 and spelling.isupper()
                    cased = words(spelling) if weak or one_word else None
                    yield (
                        spelling,
                        Entry(role="analyte", analyte=analyte, method=name, cased=cased, weak=weak),
                    )


def _word_entries() -> Iterator[tuple[str, Entry]]:
    table = load_toml("words")
    roles: tuple[Role, ...] = ("filler", "finish", "connect", "stop")
    for role in roles:
        yield from ((spelling, Entry(role=role)) for spelling in table[role])
    for kind, row in table["kind"].items():
        yield from ((spelling, Entry(role="kind", value=kind)) for spelling in row["words"])
        for spelling in row.get("cased", ()):
            yield spelling, Entry(role="kind", value=kind, cased=words(spelling))
    for why, row in table["other"].items():
        yield from ((spelling, Entry(role="other", value=why)) for spelling in row["words"])


def _form_entries() -> Iterator[tuple[str, Entry]]:
    table = load_toml("words")
    for form, row in table["form"].items():
        yield from ((s, Entry(role="form", value=form, analyte=row["analyte"])) for s in row["spellings"])
        for spelling in row.get("assumed", ()):
            yield spelling, Entry(role="form", value=form, analyte=row["analyte"], assumed=True)
    for element, row in table["generic"].items():
        yield from ((spelling, Entry(role="generic", value=element)) for spelling in row["spellings"])
        for spelling in row["cased"]:
            yield (
                spelling,
                Entry(role="generic", value=element, cased=words(spelling), variants=True, weak=True),
            )


@cache
def lexicon() -> dict[tuple[str, ...], tuple[Entry, ...]]:
    """Return every spelling's folded words and what they may stand for. Callers must not change it."""
    found: dict[tuple[str, ...], list[Entry]] = defaultdict(list)
    sources: Iterable[Iterator[tuple[str, Entry]]] = (
        _analyte_entries(),
        _form_entries(),
        _method_entries(),
        _word_entries(),
    )
    for source in sources:
        for spelling, entry in source:
            key = tuple(word.lower() for word in words(spelling))
            if key and entry not in found[key]:
                found[key].append(entry)
    return {key: tuple(entries) for key, entries in found.items()}


@cache
def spelled(*spellings: str) -> frozenset[str]:
    """Return spellings as :attr:`Item.folded` shows them."""
    return frozenset(" ".join(words(spelling)).lower() for spelling in spellings)


@cache
def longest() -> int:
    """Return the number of words of the longest spelling."""
    return max(map(len, lexicon()))


def _case(entry: Entry, printed: tuple[str, ...]) -> Case | None:
    """Return how the printed words meet the case of an entry, None where they do not."""
    if entry.cased is None:
        return "any"
    if printed == entry.cased:
        return "exact"
    if not entry.variants:
        return None
    return "upper" if "".join(printed).isupper() else "lower" if "".join(printed).islower() else None


def cut(phrase: tuple[Token, ...]) -> tuple[Item, ...]:
    """Cut a phrase into the longest known spellings from left to right; unknown words stay alone, gaps go."""
    items: list[Item] = []
    start = 0
    while start < len(phrase):
        item = _longest_at(phrase, start)
        if not item.text.startswith(GAP):
            items.append(item)
        start += len(item.tokens)
    return tuple(items)


def _longest_at(phrase: tuple[Token, ...], start: int) -> Item:
    for size in range(min(longest(), len(phrase) - start), 0, -1):
        run = phrase[start : start + size]
        entries = lexicon().get(tuple(token.folded for token in run), ())
        printed = tuple(token.text for token in run)
        met = tuple((entry, case) for entry in entries if (case := _case(entry, printed)) is not None)
        if met:
            return Item(met, run)
    token = phrase[start]
    return Item(((Entry(role="detail"), "any"),) if token.detail else (), (token,))


def never_alone() -> frozenset[str]:
    """Return the symbols that are ordinary words and need a unit or method beside them."""
    table: dict[str, Any] = load_toml("words")
    return frozenset(table["never_alone"])
