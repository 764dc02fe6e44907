"""Method words in cells and sentences: ``P and K by Mehlich-3 (ICP), OM by loss on ignition``."""

import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import groupby

from soiltrend.data import load_toml
from soiltrend.vocabulary.analytes import methods
from soiltrend.vocabulary.choice import Chosen, choose
from soiltrend.vocabulary.lexicon import cut
from soiltrend.vocabulary.merging import merge_methods, touches
from soiltrend.vocabulary.phrase import Phrase, read_phrase

Given = tuple[str | None, str, str]

# A full stop ends a clause only after a whole word: 'sat. paste', 'No. 3' and '0.5 M' go on.
_CLAUSE = re.compile(
    r"[;|\n]|(?<=\b[PKSN])\.\s+(?=[A-Z][a-z]?,)|,\s+(?=\w+(?:\s\w+)?\s(?:is|are|was|were|ist|sind|est|sont)\s)|(?<=[A-Za-z0-9)]{5})\.(?:\s|$)|(?<=[\d)])\.\s+(?=[^\W\d_]{2})|(?<=\bppm)\.\s|(?<=[A-Z]{3})\.\s|(?<=\w)\.\s{2,}(?=\S)"
)


# 'Nutrients and lead: modified Morgan' and 'Phosphorus through lead' are said of all that is extracted.
_ALL = re.compile(
    r"\b(?:all (?:other )?nutrients|nutrients and|nutrients,|and (?:other )?nutrients|nährstoffe und"
    r"|nutrientes y|éléments et|(?:phosphorus|P) (?:through|thru) \w+|P(?:hosphor)? bis \w+)(?!\w)",
    re.IGNORECASE,
)
# Of phosphorus to aluminium, no 'P-AL'; cubic metres, no Mehlich 3.
_RATIO = re.compile(r"\bP\s*/\s*Al\b|(?<=\d)\s*m3\b")


@lru_cache(maxsize=2048)
def match_method(text: str, analyte: str | None = None) -> str:
    """Return the method that a cell or phrase names, ``""`` where it names none or several.

    With ``analyte`` only methods that are used for it are believed.
    """
    chosen = choose(cut(read_phrase(text).words), "")
    found = [c.entry.method for c in _method_words(chosen)]
    if analyte is not None:
        found = [name for name in found if analyte in methods()[name].applies]
    return merge_methods(found)


def _method_words(chosen: Sequence[Chosen]) -> Iterator[Chosen]:
    """Yield the words that name a method, alone or inside an analyte's name (``P-CAL``)."""
    for word in chosen:
        if word.entry.method:
            yield word
        else:
            other = next((e for e, _ in word.item.entries if e.role == "method"), None)
            if other is not None:
                yield Chosen(word.item, other, "any")


@lru_cache(maxsize=2048)
def find_methods(sentence: str) -> tuple[Given, ...]:
    """Return (analyte or None, method, as printed) for every method that a sentence gives.

    Both orders are understood: ``P, K by Mehlich-3; OM by LOI`` and ``Mehlich-3: P, K``. None stands
    for a method with no analyte beside it, such as ``Extractant: Mehlich-3``.
    """
    found: list[Given] = []
    grouped: list[Given] = []
    for clause in (
        part for whole in _CLAUSE.split(_RATIO.sub(" ", sentence)) for part in _parted_at_groups(whole)
    ):
        phrase = read_phrase(clause)
        given = list(_of_clause(phrase, choose(cut(phrase.words), "")))
        members = list(_with_groups(clause, given))
        members += [(None, method, printed) for _, method, printed in given[:1] if _ALL.search(clause)]
        found += [one for one in members if one in given]
        listed = {method for analyte, method, _ in given if analyte and _lists_members(clause)}
        grouped += [one for one in members if one not in given and (one[0] is None or one[1] not in listed)]
    named = {analyte for analyte, _, _ in found}  # 'trace elements by DTPA; boron by hot water'
    return tuple(dict.fromkeys([*found, *(one for one in grouped if one[0] not in named)]))


def _parted_at_groups(clause: str) -> list[str]:
    """Part 'P by Olsen, cations by ammonium acetate' before each group that comes after a method."""
    parts: list[str] = []
    start = 0
    for place in sorted({word.start() for words, _ in _groups() for word in words.finditer(clause)}):
        before = clause[start:place]
        words = [word for word in choose(cut(read_phrase(before).words), "") if _counts(word)]
        if (any(map(_is_method, words)) and not _is_method(words[0])) or (words and parts):
            parts.append(before)
            start = place
    return [*parts, clause[start:]]


def _with_groups(clause: str, given: list[Given]) -> Iterator[Given]:
    """Put the members of a group ('exchangeable cations') in the place of a method that names no analyte."""
    groups = [(word.start(), members) for words, members in _groups() for word in words.finditer(clause)]
    places = [clause.find(printed) for _, _, printed in given]
    for place, (analyte, method, printed) in zip(places, given, strict=True):
        members = _members_beside(place, groups, places)
        fitting = [name for name in members if name in methods()[method].applies]
        if analyte is not None or not fitting:
            yield analyte, method, printed
        yield from ((name, method, printed) for name in fitting)


def _members_beside(
    place: int, groups: Sequence[tuple[int, tuple[str, ...]]], places: Sequence[int]
) -> list[str]:
    """Return the members of the groups that stand before a method, or behind it where methods come first."""
    group_first = bool(groups) and min(groups)[0] < min(places)
    before = max((other for other in places if other < place), default=-1)
    behind = min((other for other in places if other > place), default=sys.maxsize)
    low, high = (before, place) if group_first else (place, behind)
    return [name for start, members in groups if low < start < high for name in members]


def _lists_members(clause: str) -> bool:
    """Whether a group's members are named in brackets behind it: 'micronutrients (Fe, Zn): DTPA'."""
    ends = [found.end() for words, _ in _groups() for found in words.finditer(clause)]
    return any(clause[end:].lstrip().startswith("(") for end in ends)


def names_group(text: str) -> bool:
    """Whether a text names a group of analytes and nothing else: 'Micronutrients *'."""
    bare_text = text.strip(" *:.")
    return any(words.fullmatch(bare_text) for words, _ in _groups())


@cache
def _groups() -> tuple[tuple[re.Pattern[str], tuple[str, ...]], ...]:
    rows = load_toml("methods")["together"].values()
    found = (("|".join(row["words"]), tuple(row["analytes"])) for row in rows)
    return tuple((re.compile(rf"\b(?:{words})\b", re.IGNORECASE), members) for words, members in found)


@dataclass(frozen=True, slots=True)
class _Run:
    """Method words that follow each other, and the analytes named before and after them."""

    before: tuple[str, ...]
    methods: tuple[Chosen, ...]
    after: tuple[str, ...]
    printed: str
    each: tuple[str, ...]


def _of_clause(phrase: Phrase, chosen: tuple[Chosen, ...]) -> Iterator[Given]:
    """Pair the methods of one clause with its analytes, in the order in which the clause begins."""
    for word in chosen:
        if word.entry.role == "analyte" and word.entry.method:
            printed = phrase.original(*_span(word))
            named = _before(chosen, word) if ":" in printed else ()  # 'P und K: CAL'
            yield from ((name, word.entry.method, printed) for name in (*named, word.entry.analyte))
    runs = _runs(phrase, chosen)
    analyte_first = bool(runs and runs[0].before)
    for run in runs:
        analytes_named = run.before if analyte_first else run.after
        yield from _pair(run, analytes_named)


def _before(chosen: Sequence[Chosen], word: Chosen) -> tuple[str, ...]:
    """Return the analytes named right before a word, up to the last method."""
    names: list[str] = []
    for other in chosen[: chosen.index(word)]:
        names = [] if other.entry.method else names
        if other.entry.role == "analyte" and not other.entry.method:
            names.append(other.entry.analyte)
    fitting = methods()[word.entry.method].applies
    return tuple(name for name in names if name in fitting)


def _runs(phrase: Phrase, chosen: tuple[Chosen, ...]) -> list[_Run]:
    runs: list[_Run] = []
    names: list[str] = []
    for is_method, group in groupby(filter(_counts, chosen), key=_is_method):
        words = tuple(group)
        if is_method:
            each = tuple(_as_printed(phrase, chosen, (word,)) for word in words)
            runs.append(_Run(tuple(names), words, (), _as_printed(phrase, chosen, words), each))
            names = []
        else:
            names = [c.entry.analyte for c in words]
            if runs:
                runs[-1] = replace(runs[-1], after=tuple(names))
    return runs


def _span(word: Chosen) -> tuple[int, int]:
    return word.item.tokens[0].start, word.item.tokens[-1].end


def _counts(word: Chosen) -> bool:
    """Whether a word is an analyte or a method, but not both in one (``P-CAL``)."""
    return (word.entry.role in ("analyte", "form") and not word.entry.method) or _is_method(word)


def _is_method(word: Chosen) -> bool:
    return word.entry.role == "method"


def _as_printed(phrase: Phrase, chosen: tuple[Chosen, ...], words: tuple[Chosen, ...]) -> str:
    """Return the stretch from the first method word to the last detail that touches the last one."""
    last = chosen.index(words[-1])
    while last + 1 < len(chosen) and touches(chosen[last + 1]):
        last += 1
    return phrase.original(words[0].item.tokens[0].start, chosen[last].item.tokens[-1].end)


def _pair(run: _Run, named: tuple[str, ...]) -> Iterator[Given]:
    """Yield each method of a run with the analytes it applies to, or with the one it stands for."""
    used: set[str] = set()
    for name in dict.fromkeys(named):
        fitting = [c.entry.method for c in run.methods if name in methods()[c.entry.method].applies]
        merged = merge_methods(fitting)
        if merged:
            yield name, merged, run.printed
        else:
            yield from ((name, method, printed) for method, printed in _each(run) if method in fitting)
        used.update(fitting)
    for word, printed in zip(run.methods, run.each, strict=True):
        if word.entry.method not in used and (word.entry.analyte or _says_enough(word.entry.method)):
            yield word.entry.analyte or None, word.entry.method, printed


def _each(run: _Run) -> Iterator[tuple[str, str]]:
    return ((word.entry.method, printed) for word, printed in zip(run.methods, run.each, strict=True))


def _says_enough(method: str) -> bool:
    """Whether a method's words mean it even where no analyte stands beside them (not ``calculated``)."""
    row = load_toml("methods")["method"][method]
    return not (row.get("generic") or row.get("detail") or row.get("everyday"))


def is_everyday(method: str) -> bool:
    """Whether a method's words are said of other things too ('effective'): a stated one goes before."""
    return bool(load_toml("methods")["method"][method].get("everyday"))
