"""Printed text made comparable: accents, dashes and superscripts folded, unit spellings as one pattern.

It sits beside the spellings because cells, units and vocabulary all read printed text through it.
"""

import re
import unicodedata
from functools import cache

from soiltrend.data import load_toml

DASHES = dict.fromkeys(map(ord, "‐‑‒–—―−﹣－⁻"), "-")
SIGNS = {
    ord("µ"): "u",
    ord("μ"): "u",
    ord("×"): "x",
    ord("·"): ".",
    ord("’"): "'",
    ord("‘"): "'",
    ord("⁺"): "+",
}

# An element or oxide between the two halves of a unit: 'mg P2O5/100 g', 'lb N/acre'.
INNER = r"(?:P2O5|P205|K2O|K20|CaCO3|MgO|CaO|Na2O|NO3-N|NH4-N|SO4-S|NO3|NH4|SO4|PO4|Mg|Ca|Na|P|K|N|S|B|C)"
_PER = r"\s*(?:/|\bper\b|\bpro\b|\bpar\b|\bpor\b|\bje\b|_per_|_)\s*"


def fold_char(char: str) -> str:
    """Return one character without accent, width, superscript or fancy dash; case is kept."""
    char = char.translate(DASHES).translate(SIGNS)
    decomposed = unicodedata.normalize("NFKD", char).translate(DASHES).translate(SIGNS)
    return "".join(c for c in decomposed if not unicodedata.combining(c))


def fold(text: str) -> str:
    """Return ``text`` in lower case without accents, with plain dashes and single blanks."""
    return " ".join("".join(map(fold_char, text)).lower().split())


def words(text: str) -> tuple[str, ...]:
    """Return the folded alphanumeric words of a spelling, dotted abbreviations closed up."""
    closed = re.sub(r"\b(?:[a-z]\.){2,}", lambda found: found.group().replace(".", "") + " ", fold(text))
    return tuple(re.findall(r"\d+(?:\.\d+)?:\d+(?:\.\d+)?|[a-z0-9]+", closed))


def _loose(text: str) -> str:
    """Return a pattern for one half of a unit: blanks anywhere between words and numbers."""
    parts = re.findall(r"\d+|[a-z]+|[^a-z\d\s]", fold(text))
    return r"\s*".join(map(re.escape, parts))


def _power(denominator: str) -> str:
    """Return the pattern of a denominator printed as a negative power: ``kg-1``, ``dm-3``."""
    found = re.fullmatch(r"(.*[a-z])\^?([23])", fold(denominator))
    base, power = (found[1], found[2]) if found else (denominator, "1")
    return rf"[\s.*]*{_loose(base)}\s*\^?-\s*{power}"


def _unit_pattern(spelling: str) -> str:
    numerator, slash, denominator = spelling.partition("/")
    if not slash or not denominator:
        return _loose(spelling)
    inner = rf"(?:\s*{INNER})?" if re.fullmatch(r"[a-z.#]+", fold(numerator)) else ""
    gap = r"|\s+" if len(numerator) > 1 and len(denominator) > 1 else ""
    divided = rf"(?:{_PER}{gap}){_loose(denominator)}"
    return rf"{_loose(numerator)}{inner}(?:{divided}|{_power(denominator)})"


@cache
def unit_pattern() -> tuple[re.Pattern[str], tuple[str, ...]]:
    """Return the pattern of every printed unit and, by the number of its group, each spelling's code."""
    pairs = [(s, code) for code, unit in load_toml("units")["unit"].items() for s in unit["spellings"]]
    pairs.sort(key=lambda pair: -len(pair[0]))
    body = "|".join(f"({_unit_pattern(spelling)})" for spelling, _ in pairs)
    return re.compile(rf"(?<![A-Za-z0-9])(?:{body})(?![A-Za-z0-9])", re.IGNORECASE), tuple(
        c for _, c in pairs
    )


def find_unit(folded: str) -> tuple[str, int, int] | None:
    """Return code, start and end of the first printed unit in text folded by :func:`fold_char`."""
    pattern, codes = unit_pattern()
    found = pattern.search(folded)
    return (codes[(found.lastindex or 1) - 1], found.start(), found.end()) if found else None


def whole_unit(text: str) -> str:
    """Return the code of ``text`` if all of it is one printed unit (brackets allowed), else ``""``."""
    folded = "".join(map(fold_char, text)).strip().strip("()[]{}.,;:*").strip()
    pattern, codes = unit_pattern()
    restored = next(
        (f for f in (folded, f"({folded}", f"{folded})", f"{folded}.") if pattern.fullmatch(f)), ""
    )
    found = pattern.fullmatch(restored)
    return codes[(found.lastindex or 1) - 1] if found else ""
