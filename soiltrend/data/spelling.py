"""Printed text made comparable: accents, dashes and superscripts folded, words cut out with their places.

It sits beside the spellings because cells, units and vocabulary all read printed text through it.
"""

import re
import unicodedata
from dataclasses import dataclass

_PLAIN = {ord(char): "-" for char in "‐‑‒–—―−﹣－⁻"} | {
    ord("µ"): "u",
    ord("μ"): "u",
    ord("Μ"): "u",  # Greek capital mu, as in an upper-case heading
    ord("×"): "x",
    ord("·"): ".",
    ord("’"): "'",
    ord("‘"): "'",
    ord("⁺"): "+",
}

# A strength, temperature or time of a method: '1 M', '360 °C', '2 h', 'pH 7.0'. It names nothing by itself.
DETAIL = (
    r"\d+(?:[.,]\d+)?\s?[MN](?![A-Za-z0-9])|\d+(?:[.,]\d+)?\s?[mn](?=\s(?i:KCl|CaCl2|NH4|NaHCO3|HCl))|\d{2,4}\s?°\s?[CF]?(?![a-z])|\d{3,4}\s?[CF](?![A-Za-z])"
    r"|\d+(?:[.,]\d+)?\s?(?:h|hr|hrs|min)(?![A-Za-z0-9])|(?<![A-Za-z])[pP][hH]\s?\d(?:[.,]\d+)?(?![\d:/]|[.,]\d|\s:)"
)
# Stands in a text where something (a unit, a layer) was cut out: no spelling reaches across it.
GAP = "\x1f"
_NUMBER = r"\d+(?:[.,]\d+)?"
_TOKEN = re.compile(
    rf"(?P<gap>{GAP}+)"
    r"|(?P<dotted>(?<![A-Za-z])(?:[A-Za-z]\.){2,}[A-Za-z]?(?![A-Za-z]))"
    rf"|(?P<ratio>{_NUMBER}\s?:\s?{_NUMBER}|1/{_NUMBER}(?!\d))"
    r"|(?P<cation>(?<![A-Za-z0-9])(?i:NH4|Ca|Mg|Al|Fe|Mn|Zn|Cu|Na|K|H)(?=(?:\d\+|\+\d|\+{1,3})(?![A-Za-z0-9])))"
    r"(?:\d\+|\+\d|\+{1,3})"
    r"|(?P<anion>(?<![A-Za-z0-9])(?i:SO4|PO4|NO3|HCO3|Cl)(?=(?:\s?2-|-2|--?)(?![A-Za-z0-9-])))(?:\s?2-|-2|--?)"
    rf"|(?P<detail>{DETAIL})"
    r"|(?P<before>[A-Za-z]+(?=\d+\s?:\s?\d))"
    r"|(?P<decimal>\d+(?:[.,]\d+)+)"
    r"|(?P<word>[A-Za-z0-9]+)"
)


@dataclass(frozen=True, slots=True)
class Token:
    """One word: as printed (accents off, case kept), folded, and its place in the folded text."""

    text: str
    folded: str
    start: int
    end: int
    detail: bool = False


def fold_char(char: str) -> str:
    """Return one character without accent, width, superscript or fancy dash; case is kept."""
    char = char.translate(_PLAIN)
    if char == "°":
        return char
    plain = unicodedata.normalize("NFKD", char.replace("ß", "ss")).translate(_PLAIN)
    return "".join(c for c in plain if not unicodedata.combining(c))


def fold_case_kept(text: str) -> str:
    """Return ``text`` with :func:`fold_char` over every character."""
    return "".join(map(fold_char, text))


def fold(text: str) -> str:
    """Return ``text`` in lower case without accents, with plain dashes and single blanks."""
    return " ".join(fold_case_kept(text).lower().split())


def tokens(folded: str) -> tuple[Token, ...]:
    """Cut text folded by :func:`fold_char` into words, ratios and method details."""
    return tuple(map(_token, _TOKEN.finditer(folded)))


def _token(found: re.Match[str]) -> Token:
    group = found.lastgroup or "word"
    text = found[group]
    if group == "dotted":
        text = text.replace(".", "")
    if group == "ratio":
        text = text.replace(" ", "").replace(",", ".").replace("/", ":")
    return Token(text, text.lower(), found.start(), found.end(), group == "detail")


def words(spelling: str) -> tuple[str, ...]:
    """Return the words of a spelling as :func:`tokens` cuts them, case kept."""
    return tuple(token.text for token in tokens(fold_case_kept(spelling)))
