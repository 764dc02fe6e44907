"""Two analytes with a colon or a stroke between them: a ratio, never a result."""

import re
from functools import cache

from soiltrend.data import load_toml
from soiltrend.data.spelling import GAP, tokens
from soiltrend.vocabulary.choice import Chosen, choose
from soiltrend.vocabulary.lexicon import cut
from soiltrend.vocabulary.match import AnalyteMatch, Words, why

CATIONS = {"potassium": "k", "calcium": "ca", "magnesium": "mg", "sodium": "na"}
_SYMBOLS = re.compile(r"([A-Z][a-z]?)\s*/\s*([A-Z][a-z]?)(?:\s*[(\[]?%[)\]]?)?")
_EDGES = f" :/.;,()[]{GAP}"


def ratio(words: Words) -> AnalyteMatch | None:
    """Return the ratio that a heading names (``Ca:Mg``, ``C/N``, ``K to Mg ratio``), else None."""
    if _of_symbols(words.phrase.printed):
        return AnalyteMatch(analyte="", kind="ratio", why=why("ratio"), unit=words.phrase.unit)
    if len(words.having("analyte", "form", "generic")) < 2:
        return None
    texture = any(c.entry.analyte in ("sand", "silt", "clay") for c in words.having("analyte"))
    if not texture and _halves(words.phrase.bare, "[:/÷]"):
        share = _share(words)
        if share:
            return share
        return AnalyteMatch(analyte="", kind="ratio", why=why("ratio"), unit=words.phrase.unit)
    if _halves(words.phrase.bare, "[+&/:]"):
        return AnalyteMatch(analyte="", kind="other", why="several analytes together", unit=words.phrase.unit)
    return None


def _of_symbols(printed: str) -> bool:
    """Whether a symbol stands over another: ``P/Al``, which is no phosphorus by lactate (``P-AL``)."""
    found = _SYMBOLS.fullmatch(printed.strip())
    return found is not None and {found[1], found[2]} <= _symbols()


@cache
def _symbols() -> frozenset[str]:
    return frozenset(symbol for row in load_toml("analytes").values() for symbol in row.get("symbols", ()))


def _share(words: Words) -> AnalyteMatch | None:
    """Return the base saturation that a cation over the exchange capacity is: ``K/CEC`` (French reports)."""
    names = [c.entry.analyte for c in words.having("analyte")]
    if len(names) != 2 or names[1] != "cec" or names[0] not in CATIONS or ":" in words.phrase.bare:
        return None
    return AnalyteMatch(
        analyte=f"base_saturation_{CATIONS[names[0]]}",
        kind="saturation",
        unit=words.phrase.unit,
        unit_printed=words.phrase.unit_printed,
        why=why("saturation"),
    )


def _halves(bare: str, separator: str) -> bool:
    """Whether the separator stands between different analytes and nothing else is there."""
    halves = [half for half in re.split(separator, bare.strip(_EDGES)) if half.strip(_EDGES)]
    names = [_one_name(half) for half in halves]
    return len(names) > 1 and "" not in names and len(set(names)) == len(names)


def _one_name(half: str) -> str:
    """Return the one analyte, form or element that this half names and nothing else, else ``""``."""
    chosen = choose(cut(tokens(half)), "")
    names = [c for c in chosen if c.entry.role in ("analyte", "form", "generic")]
    if len(names) != 1 or any(c.entry.role in ("", "method", "stop") for c in chosen):
        return ""
    return _identity(names[0])


def _identity(chosen: Chosen) -> str:
    return f"{chosen.entry.analyte}{chosen.entry.value}"
