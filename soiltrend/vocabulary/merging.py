"""Several method words beside each other: one refines another, or they contradict."""

from collections.abc import Iterable, Sequence

from soiltrend.data import load_toml
from soiltrend.vocabulary.analytes import methods
from soiltrend.vocabulary.choice import Chosen

METHOD_ASSUMED = "method-assumed"


def merge_methods(names: Iterable[str]) -> str:
    """Return the one method that the words mean together, ``""`` where they contradict.

    A soil-to-water ratio and the word water refine each other; a named extract or salt beats both.
    """
    rows = load_toml("methods")["method"]
    found = tuple(dict.fromkeys(names))
    firm = [n for n in found if not (rows[n].get("generic") or rows[n].get("detail"))]
    ratios = [n for n in found if rows[n].get("detail")]
    loose = [n for n in found if rows[n].get("generic")]
    for level in (firm, [n for n in loose if n not in ("water", "mehlich")], ratios, loose):
        if level:
            return level[0] if len(set(level)) == 1 else _more_exact(level)
    return ""


def _more_exact(names: Sequence[str]) -> str:
    """Return the name that holds all others as a part of it (``hot_cacl2`` over ``cacl2``)."""
    if set(names) == {"effective", "summation"}:
        return "summation"  # an effective CEC is worked out so: 'ECEC (sum of cations)'
    whole = [n for n in names if all(other in n or other == n for other in names)]
    return whole[0] if whole else ""


def touches(chosen: Chosen) -> bool:
    """Whether a word behind a method belongs to it: a strength, a finish, the temperature of an ignition."""
    return chosen.entry.role in ("detail", "finish") or is_temperature(chosen.item.text)


def is_temperature(text: str) -> bool:
    """Whether a word can be the temperature of an ignition in degrees Celsius."""
    return text.isdigit() and len(text) == 3


def applicable(chosen: Iterable[Chosen], analyte: str) -> tuple[Chosen, ...]:
    """Return the method words that are believed for ``analyte``."""
    return tuple(
        word
        for word in chosen
        if word.entry.role == "method" and analyte in methods()[word.entry.method].applies
    )
