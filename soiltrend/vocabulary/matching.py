"""A heading → the analyte it names, in which form, unit and by which method, and whether it is a result."""

import re
from dataclasses import replace
from functools import lru_cache
from typing import cast

from soiltrend.data import load_toml
from soiltrend.vocabulary.analytes import methods
from soiltrend.vocabulary.choice import Chosen, choose
from soiltrend.vocabulary.forms import find_form
from soiltrend.vocabulary.grading import grade
from soiltrend.vocabulary.lexicon import cut, never_alone, spelled
from soiltrend.vocabulary.match import AnalyteMatch, Kind, Words, why
from soiltrend.vocabulary.merging import METHOD_ASSUMED, applicable, is_temperature, merge_methods, touches
from soiltrend.vocabulary.naming import is_carbon_factor, named
from soiltrend.vocabulary.phrase import read_phrase
from soiltrend.vocabulary.ratios import ratio

_CAMEL = re.compile(r"(?<=[a-z]{3})(?=[A-Z])")  # 'OrganicMatter' in a column name
MOST_WORDS = 14
MOST_LEFTOVER = 2
SET_APART = ("previous", "summary", "ambiguous", "other")
LEFT_ALONE_KINDS = ("recommendation", "range", "rating", "previous", "summary", "estimate")


@lru_cache(maxsize=8192)
def match_analyte(text: str) -> AnalyteMatch | None:
    """Return what this whole phrase says if it names an analyte or something near one, else None.

    ``text`` is a heading, a row label or the left-hand side of a line, without its value. An ordinary
    sentence, a sample's name or a lone word is None.
    """
    return _read(text) or (_read(_CAMEL.sub(" ", text)) if _CAMEL.search(text) else None)


def _read(text: str) -> AnalyteMatch | None:
    phrase = read_phrase(text)
    if not phrase.words or len(phrase.words) > MOST_WORDS:
        return None
    words = Words(phrase=phrase, chosen=choose(cut(phrase.words), phrase.unit))
    found = ratio(words) or _apart(words) or _match(words)
    return found and _uncertain_never_exact(words, found)


def _uncertain_never_exact(words: Words, found: AnalyteMatch) -> AnalyteMatch:
    """Show the words that set a heading apart as left over, so that no one takes it for understood."""
    if found.kind not in SET_APART or not found.exact:
        return found
    apart = words.having("kind", "other") or words.chosen
    return replace(found, exact=False, leftover=tuple(c.item.text for c in apart))


def _apart(words: Words) -> AnalyteMatch | None:
    """Return something known that is near an analyte and is none (humic matter, texture class)."""
    other = words.having("other")
    if not other or words.having("stop") or len(words.having("")) > MOST_LEFTOVER:
        return None
    return replace(_bare(words), kind="other", why=other[0].entry.value)


def _match(words: Words) -> AnalyteMatch | None:
    if words.having("stop") and words.kind not in LEFT_ALONE_KINDS:
        return None
    names = named(words)
    if len(names) != 1:
        return _kind_alone(words, several=len(names) > 1)
    leftover = _leftover(words, names[0])
    if leftover is None or not _credible(words, names[0], leftover):
        return None
    match = replace(_bare(words), analyte=names[0], leftover=leftover, exact=not leftover)
    return grade(words, _with_method(words, _with_form(words, match)))


def _bare(words: Words) -> AnalyteMatch:
    """Return what the phrase prints beside its words: unit and layer."""
    phrase = words.phrase
    return AnalyteMatch(
        analyte="", unit=phrase.unit, unit_printed=phrase.unit_printed, depth_printed=phrase.depth_printed
    )


def _kind_alone(words: Words, *, several: bool) -> AnalyteMatch | None:
    """Return a heading such as ``Rating`` or ``N-P2O5-K2O recommended``, which names no one analyte."""
    kind = words.kind
    if not kind or len(words.having("")) > MOST_LEFTOVER * several:
        return None
    alone = load_toml("words")["kind"][kind]["alone"]
    plain = all(c.entry.role in ("kind", "filler", "connect", "finish") for c in words.chosen)
    if not several and not (plain and any(c.item.folded in spelled(*alone) for c in words.having("kind"))):
        return None
    return replace(_bare(words), kind=cast(Kind, kind), why=why(kind))


def _leftover(words: Words, name: str) -> tuple[str, ...] | None:
    """Return the words that were not understood; None where a lone number makes this no heading."""
    useful = {id(c) for c in applicable(words.chosen, name)}
    strange = list(words.having("", "stop"))
    strange += [c for c in words.having("method") if id(c) not in useful and not _is_beside(c, name, useful)]
    rest = [c.item.text for c in strange if not _explained(words, c)]
    if any(_is_number(text) for text in rest) or len(rest) > _allowed(words):
        return None
    return tuple(rest)


def _is_beside(chosen: Chosen, name: str, useful: set[int]) -> bool:
    """Whether a method word stands for the analyte itself, or is the ratio (1:10) of a known method."""
    return chosen.entry.analyte == name or (bool(useful) and methods()[chosen.entry.method].generic)


def _explained(words: Words, chosen: Chosen) -> bool:
    """Whether a number is the temperature of an ignition or the factor from carbon to organic matter."""
    heated = any(c.entry.method == "loss_on_ignition" for c in words.chosen)
    carbon = any(c.entry.analyte == "organic_carbon" for c in words.chosen)
    return (heated and is_temperature(chosen.item.text)) or (carbon and is_carbon_factor(chosen))


def _allowed(words: Words) -> int:
    return MOST_LEFTOVER if words.kind in ("", "saturation") else MOST_WORDS


def _is_number(text: str) -> bool:
    """Whether a leftover word is a number other than a year."""
    return text[:1].isdigit() and not _is_year(text)


def _is_year(text: str) -> bool:
    return len(text) == 4 and text.isdigit() and text[:2] in ("19", "20")


def _credible(words: Words, name: str, leftover: tuple[str, ...]) -> bool:
    """Whether symbols that are also ordinary words have something beside them that makes them symbols."""
    said = [c for c in words.having("analyte", "generic", "form") if _is_of(c, name)]
    if any(
        not c.entry.weak and c.case in ("any", "exact") and c.item.folded not in ("as", "co") for c in said
    ):
        return True
    if words.phrase.unit or words.extracted or any(c.entry.method for c in words.chosen):
        return True
    if not all(map(_is_year, leftover)):
        return False
    exact = all(c.case == "exact" for c in said)
    return not any(c.item.folded in (_AS_WORDS if exact else never_alone()) for c in said)


_AS_WORDS = frozenset({"as", "co", "in", "no"})


def _is_of(chosen: Chosen, name: str) -> bool:
    return chosen.entry.analyte == name or chosen.entry.role == "generic"


def _with_form(words: Words, match: AnalyteMatch) -> AnalyteMatch:
    found = find_form(words.chosen, match.analyte)
    match = replace(match, form=found.form, notes=(*match.notes, *found.notes))
    return replace(match, kind="ambiguous", why="the chemical form is not clear") if found.unclear else match


def _with_method(words: Words, match: AnalyteMatch) -> AnalyteMatch:
    named_in = [c for c in words.having("analyte") if c.entry.method and c.entry.analyte == match.analyte]
    implied = [c for c in words.having("method") if c.entry.analyte == match.analyte]
    spoken = list(dict.fromkeys([*named_in, *implied, *applicable(words.chosen, match.analyte)]))
    if not spoken:
        return match
    method = merge_methods(c.entry.method for c in spoken)
    firm = any(not c.entry.assumed for c in spoken if c.entry.method == method)
    notes = match.notes if firm or not method else (*match.notes, METHOD_ASSUMED)
    return replace(match, method=method, method_printed=_method_printed(words, spoken), notes=notes)


def _method_printed(words: Words, spoken: list[Chosen]) -> str:
    """Return the method as printed, with the strengths, temperatures and finishes that touch it."""
    places = [i for i, c in enumerate(words.chosen) if c in spoken]
    first, last = places[0], places[-1]
    while first > 0 and words.chosen[first - 1].entry.role == "detail":
        first -= 1
    while last + 1 < len(words.chosen) and touches(words.chosen[last + 1]):
        last += 1
    start, end = words.chosen[first].item.tokens[0].start, words.chosen[last].item.tokens[-1].end
    return words.phrase.original(start, end)
