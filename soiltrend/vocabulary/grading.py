"""Whether a heading that names an analyte heads results, and how sure that is."""

from collections.abc import Callable
from dataclasses import replace
from typing import cast

from soiltrend.data import load_toml
from soiltrend.units import units
from soiltrend.vocabulary.analytes import analytes
from soiltrend.vocabulary.choice import CATIONS, SATURATION_OF, STANDS_FOR, accepts
from soiltrend.vocabulary.lexicon import spelled
from soiltrend.vocabulary.match import AnalyteMatch, Kind, Words, why

LOW_CONFIDENCE = "low-confidence"
_WHOLE_SAMPLE = frozenset({"total", "kjeldahl", "dry_combustion", "aqua_regia", "acid_digestion"})


def grade(words: Words, match: AnalyteMatch) -> AnalyteMatch:
    """Say of a named analyte what kind of number it heads, and mark weak matches."""
    graded = replace(match, weak=_is_weak(words, match))
    for rule in _RULES:
        decided = rule(words, graded)
        if decided is not None:
            return decided
    return graded


def _is_weak(words: Words, match: AnalyteMatch) -> bool:
    """Whether a match rests on one letter or a doubtful abbreviation, or has strange words beside it."""
    said = words.having("analyte", "form", "generic")
    strong = any(not c.entry.weak and c.case in ("any", "exact") for c in said)
    support = bool(match.unit or (match.method and _spoken_method(words))) or len(said) > 1 or words.extracted
    return not support and (not strong or bool(match.leftover))


def _spoken_method(words: Words) -> bool:
    """Whether a method stands beside the name and is not only implied by it (``P1``, ``SMP``)."""
    return any(c.entry.role == "method" for c in words.chosen) and bool(words.having("analyte", "form"))


def _said_kind(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    kind = words.kind
    if kind in ("", "saturation"):
        return None
    return replace(match, kind=cast(Kind, kind), why=why(kind))


def _ambiguous(match: AnalyteMatch, why_not: str) -> AnalyteMatch:
    return replace(match, kind="ambiguous", why=why_not)


def _unclear(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    if match.kind == "ambiguous":
        return match
    if words.phrase.other_units:
        return _ambiguous(match, "two different units are printed in one heading")
    return None


def _saturation(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    """Read a share of the exchange capacity: said so, or a cation in percent that is no total."""
    said = words.kind == "saturation" or any(c.entry.analyte == "cec" for c in words.having("analyte"))
    if match.analyte.startswith("base_saturation"):
        return replace(match, kind="saturation", weak=match.weak and not said, why=why("saturation"))
    if match.analyte not in CATIONS or not (said or match.unit == "%") or match.method in _WHOLE_SAMPLE:
        return None
    if match.unit not in ("", "%") or match.form:
        return _ambiguous(match, "a saturation is printed in percent of the exchange capacity")
    return replace(
        match,
        analyte=SATURATION_OF[match.analyte],
        kind="saturation",
        weak=not said,
        why=why("saturation") if said else "a cation in percent is a share of the exchange capacity",
    )


def _rate(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    """Read a rate to apply by its unit: per 1000 square feet, or an oxide or plain nitrogen per area."""
    table = load_toml("words")
    if match.unit in table["rate_units"]:
        return replace(match, kind="recommendation", why=why("recommendation"))
    fertilizer = match.form in ("P2O5", "K2O", "CaO", "MgO", "SO3") or _only_generic(words, match)
    if not match.unit or units()[match.unit].quantity != "area" or not fertilizer:
        return None
    said = {c.item.folded for c in words.chosen}
    if match.method or said & spelled(*table["result_words"]):
        return None  # 'Mehlich-3 phosphorus, lb P2O5/acre' was measured
    return replace(
        match, kind="recommendation", weak=True, why="an oxide or nitrogen per area reads as a rate to apply"
    )


def _only_generic(words: Words, match: AnalyteMatch) -> bool:
    """Whether the analyte rests on a word such as ``N`` or ``carbon`` alone."""
    generic = any(match.analyte in STANDS_FOR[c.entry.value] for c in words.having("generic"))
    return generic and not any(c.entry.analyte == match.analyte for c in words.having("analyte", "form"))


def _element_of_many(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    """Nitrogen or carbon alone: the unit or method says which, or nothing does."""
    if not _only_generic(words, match):
        return None
    coarse = match.unit in ("%", "g/kg", "mg/g")
    if match.analyte == "total_n":
        known = coarse or match.method in _WHOLE_SAMPLE
        return (
            replace(match, weak=True) if known else _ambiguous(match, "nitrate, ammonium or total nitrogen?")
        )
    if match.method == "total":
        return replace(match, analyte="total_carbon")
    if coarse:
        return replace(match, weak=True, notes=(*match.notes, LOW_CONFIDENCE))
    return _ambiguous(match, "organic or total carbon?")


def _unit_fits(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    if not accepts(match.analyte, match.unit):
        return _ambiguous(match, f"{match.unit_printed} is no unit that this analyte is printed in")
    if match.unit == "%" and match.analyte == "aluminum" and match.method not in _WHOLE_SAMPLE:
        return _ambiguous(match, "aluminum in percent: a share of the exchange capacity or of the soil?")
    if match.unit == "%" and match.method not in _WHOLE_SAMPLE and analytes()[match.analyte].unit == "mg/kg":
        return replace(match, weak=True)
    return None


def _lime_index(words: Words, match: AnalyteMatch) -> AnalyteMatch | None:
    """Mark a lime test index, ten times the buffer pH; the conversion looks at its size."""
    indexed = spelled(*load_toml("analytes")["buffer_ph"]["index_names"])
    if match.analyte == "buffer_ph" and any(c.item.folded in indexed for c in words.having("analyte")):
        return replace(match, unit="[LTI]")
    return None


_RULES: tuple[Callable[[Words, AnalyteMatch], AnalyteMatch | None], ...] = (
    _said_kind,
    _unclear,
    _rate,
    _saturation,
    _unit_fits,
    _element_of_many,
    _lime_index,
)
