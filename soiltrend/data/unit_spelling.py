"""The spellings of data/units.toml as one pattern that finds a unit in any text."""

import re
from functools import cache

from soiltrend.data import load_toml
from soiltrend.data.spelling import fold, fold_case_kept

# An element or oxide between the two halves of a unit: 'mg P2O5/100 g', 'lb N/acre'.
INNER = (
    r"(?-i:P2O5|P205|K2O|K20|CaCO3|MgO|CaO|Na2O|NO3-N|NH4-N|SO4-S|NO3|NH4|SO4|PO4"
    r"|Mg|Ca|Na|Zn|Fe|Mn|Cu|P|K|N|S|B|C)"
)
_PER = r"\s*(?:/|\bper\b|\bpro\b|\bpar\b|\bpor\b|\bje\b|_per_)\s*"


def _loose(text: str) -> str:
    """Return a pattern for one half of a unit: blanks anywhere between words and numbers."""
    parts = re.findall(r"\d+|[a-z]+|[^a-z\d\s]", fold(text))
    return r"[\s_]*".join(map(re.escape, parts))


def _power(denominator: str) -> str:
    """Return the pattern of a denominator printed as a negative power: ``kg-1``, ``dm-3``."""
    found = re.fullmatch(r"(.*[a-z])\^?([23])", fold(denominator))
    base, power = (found[1], found[2]) if found else (denominator, "1")
    return rf"[\s._*]*{_loose(base)}\s*\^?-\s*{power}"


def _pattern(spelling: str) -> str:
    numerator, slash, denominator = spelling.partition("/")
    if not slash or not denominator:
        return _loose(spelling)
    inner = rf"(?:\s*{INNER})?" if re.fullmatch(r"[a-z.#]+", fold(numerator)) else ""
    long = len(numerator) > 1 and len(denominator) > 1
    # 'Mg M3' and 'Mg_M3' are magnesium by Mehlich 3 and no megagram per cubic metre
    gap = "" if denominator == "m3" else r"|\s*_\s*|\s+" if long else r"|\s*_\s*"
    below = _loose(denominator)
    divided = rf"(?:{_PER}{below}|(?:{gap[1:]}){below}(?!\s*/))"  # 'Mg kg/ha' is magnesium, in kg/ha
    return rf"{_loose(numerator)}{inner}(?:{_power(denominator)}|{divided})"


def _bounded(spelling: str) -> str:
    """Return the pattern of a spelling with word boundaries where it begins or ends with a letter."""
    begin = r"(?<![A-Za-z0-9])" if spelling[0].isalnum() else ""
    end = r"(?![A-Za-z0-9])(?!\s?\^?-[123](?![\d:.]))" if spelling[-1].isalnum() else ""
    return rf"{begin}({_pattern(spelling)}){end}"


@cache
def unit_pattern() -> tuple[re.Pattern[str], tuple[str, ...]]:
    """Return the pattern of every printed unit and, by the number of its group, each spelling's code."""
    pairs = [(s, code) for code, unit in load_toml("units")["unit"].items() for s in unit["spellings"]]
    pairs.sort(key=lambda pair: -len(pair[0]))
    body = "|".join(_bounded(spelling) for spelling, _ in pairs)
    return re.compile(body, re.IGNORECASE), tuple(code for _, code in pairs)


def find_units(folded: str) -> tuple[tuple[str, int, int], ...]:
    """Return code, start and end of every printed unit in text folded by ``spelling.fold_char``."""
    pattern, codes = unit_pattern()
    return tuple(
        (codes[(found.lastindex or 1) - 1], found.start(), found.end()) for found in pattern.finditer(folded)
    )


def inner_form(printed: str) -> tuple[int, int] | None:
    """Return where inside a printed unit an element or oxide stands (``mg P2O5/100 g``), if any does."""
    found = re.match(rf"(?i:[a-z.#]+?)\s*(?<![A-Za-z])({INNER})\s*(?=/|\bper\b|\bpro\b|_|\s|\.)", printed)
    return found.span(1) if found else None


# What may stand behind a unit: the substance it counts, or what a share is of: '% of CEC'.
_SUBSTANCE = re.compile(
    rf"(?P<unit>.*\S)(?:\s+|\s*\()(?:(?:as|als|en|como|d[e']|of)\s+)?{INNER}\)?", re.IGNORECASE
)
_AS = re.compile(rf"(?:as|als|en|como)\s+{INNER}\s*[,;]?\s*(?P<unit>\S.*)", re.IGNORECASE)
_OF = r"\s*(?:of|der|de la|du|de|d)?\s*(?:the\s+)?"
_SHARE = re.compile(rf"(?P<unit>%){_OF}(?:E?CEC|KAK|CIC|BS|(?:base )?sat(?:uration|\.)?)", re.IGNORECASE)


def bare_unit(text: str) -> str:
    """Return the unit in a text that also says what is counted: 'mg/kg' of ``mg/kg P2O5``.

    A bare share of an element (``% K``) is no unit, for it is the name of a result itself.
    """
    found = (
        _SHARE.fullmatch(text.strip()) or _SUBSTANCE.fullmatch(text.strip()) or _AS.fullmatch(text.strip())
    )
    bare = found["unit"].strip() if found else ""
    return bare if bare and (bare != "%" or _SHARE.fullmatch(text.strip())) and whole_unit(bare) else ""


def whole_unit(text: str) -> str:
    """Return the code of ``text`` if all of it is one printed unit (brackets allowed), else ``""``."""
    folded = fold_case_kept(text).strip().strip("()[]{}.,;:*").strip()
    pattern, codes = unit_pattern()
    closed = (folded, f"({folded}", f"{folded})", f"{folded}.", f"[{folded}]")
    found = next((match for form in closed if (match := pattern.fullmatch(form))), None)
    return codes[(found.lastindex or 1) - 1] if found else ""
