"""The words a report prints beside its results: names of fields (sample, date, depth) and of columns."""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache

from soiltrend.data import load_toml
from soiltrend.layout.composed import composed_field

LONGEST_PAIR = 30
SHORTEST_TOGETHER = 8  # letters of a name that is known without its blanks
_INITIALS = re.compile(r"\b(?:[A-Za-z]\.){2,}(?!\w)")  # I.D., N.O.
# SampledDate, sampleID: headings of data exports
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_NUMBER_WORDS = {"nr", "no", "n", "num", "numero", "number", "nummer"}
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}")
# What a declared layout adds while one report is read: see declare().
_DECLARED_FIELDS: dict[str, str] = {}
_IGNORED: set[str] = set()
# More than one can hold ("recommended range"): the first of these wins.
ROLE_ORDER = (
    "previous",
    "deviation",
    "range",
    "limit",
    "uncertainty",
    "recommendation",
    "rating",
    "qualifier",
    "method",
    "unit",
    "symbol",
    "analyte",
    "value",
    "statistic",
)


@lru_cache(maxsize=20000)
def normal(text: str) -> str:
    """Return ``text`` without case, accents and punctuation; every word for 'number' becomes ``no``."""
    text = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", text)  # SampleID
    text = _INITIALS.sub(lambda found: found[0].replace(".", ""), text)
    plain = unicodedata.normalize("NFKD", text.replace("#", " no ").replace("№", " no ").replace("º", ""))
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    tokens = re.findall(r"[^\W_]+", plain)
    return " ".join("no" if token in _NUMBER_WORDS else token for token in tokens)


def without_brackets(text: str) -> str:
    """Return ``text`` without what stands in brackets."""
    return " ".join(_BRACKETS.sub(" ", text).split())


@lru_cache(maxsize=20000)
def field_of(text: str) -> str:
    """Return the field (``sample``, ``depth``, ``date_sampled`` …) that ``text`` names, or ``""``."""
    spellings = _fields() | _DECLARED_FIELDS
    for candidate in (text, without_brackets(text), _CAMEL.sub(" ", text), _in_full(text)):
        found = spellings.get(normal(candidate))
        if found:
            return found
    bare = normal(without_brackets(text))
    return (
        _without_tail(bare, spellings)
        or _without_tail(_in_full(text), spellings)
        or _first_of(text)
        or _run_together(bare)
        or composed_field(bare)
        or composed_field(_in_full(text))
    )


def _in_full(text: str) -> str:
    """Write out the short forms of data exports: SAMP_DT is 'sample date'."""
    short = load_toml("report_words")["short"]["words"]
    return " ".join(short.get(word, word) for word in normal(_CAMEL.sub(" ", text)).split())


def _run_together(bare: str) -> str:
    """Return the field of a name without its blanks, as scans have them: 'datesampled'."""
    return _together().get(bare, "") if len(bare) >= SHORTEST_TOGETHER else ""


def _first_of(text: str) -> str:
    """Return the field of a label that names two things: 'Farmer / plot', 'Sample/Field'."""
    if text.count("/") != 1 or any(c.isdigit() for c in text) or len(text) > LONGEST_PAIR:
        return ""
    found = [field_of(part.strip()) for part in text.split("/") if len(part.strip()) > 1]
    return next((name for name in found if name and name != "other"), "")


def _without_tail(bare: str, spellings: dict[str, str]) -> str:
    """Try again without what says how the field is written: ``Depth cm``, ``Date mm dd yyyy``."""
    lengths = "cm|mm|in|inch|inches|ft|feet|m|zoll|pouces|pulgadas"
    tail = rf"( ({lengths}|no|id|mm dd yyyy|dd mm yyyy|yyyy mm dd|m d y|d m y))+$"
    shorter = re.sub(tail, "", bare)
    return spellings.get(shorter, "") if shorter != bare else ""


@lru_cache(maxsize=20000)
def role_of(text: str) -> str:
    """Return what a column or row named ``text`` holds (``value``, ``rating``, ``range`` …), or ``""``."""
    whole, holds = _roles()
    if normal(text) in _IGNORED:
        return "ignored"
    names = [normal(text), normal(without_brackets(text))]
    for role in ROLE_ORDER:
        if any(name in whole[role] for name in names if name):
            return role
    padded = f" {names[0]} "
    for role in ROLE_ORDER:
        if any(f" {part} " in padded for part in holds[role]):
            return role
    return ""


@lru_cache(maxsize=5000)
def is_statistic(text: str) -> bool:
    """Whether a row named ``text`` is an average, a check sample or the like, and no sample."""
    whole, holds = _roles()
    name = normal(text)
    return name in whole["statistic"] or any(f" {part} " in f" {name} " for part in holds["statistic"])


def is_total(text: str) -> bool:
    """Whether a row is summed up over layers: 'Total 0-24'."""
    words = normal(text).split()
    return (
        len(words) > 1 and words[0] in load_toml("report_words")["totals"]["words"] and words[1][0].isdigit()
    )


def declare(fields: Mapping[str, str], ignored: Iterable[str]) -> None:
    """Let more words name fields, and some columns and rows be left alone, until this is called again.

    Parameters
    ----------
    fields : field by the :func:`normal` form of what names it
    ignored : normal forms of names of columns and rows
    """
    _DECLARED_FIELDS.clear()
    _DECLARED_FIELDS.update(fields)
    _IGNORED.clear()
    _IGNORED.update(ignored)
    field_of.cache_clear()
    role_of.cache_clear()


@cache
def _fields() -> dict[str, str]:
    table = load_toml("report_words")["fields"]
    return {normal(spelling): name for name, entry in table.items() for spelling in entry["whole"]}


@cache
def _together() -> dict[str, str]:
    return {name.replace(" ", ""): field for name, field in _fields().items() if " " in name}


@cache
def _roles() -> tuple[dict[str, frozenset[str]], dict[str, frozenset[str]]]:
    table = load_toml("report_words")["roles"]
    whole = {name: frozenset(map(normal, entry["whole"])) for name, entry in table.items()}
    holds = {name: frozenset(map(normal, entry.get("holds", ()))) for name, entry in table.items()}
    return whole, holds
