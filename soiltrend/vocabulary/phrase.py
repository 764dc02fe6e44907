"""A heading or label taken apart: its words, the unit and the sampled layer printed in it."""

import re
from dataclasses import dataclass, replace

from soiltrend.data.spelling import GAP, Token, fold_char, tokens
from soiltrend.data.unit_spelling import find_units, inner_form

_DEPTH = re.compile(
    r"(?<![\w.-])(?:\d+(?:[.,]\d+)?\s*(?:-|to|bis|a|à|/)\s*\d+(?:[.,]\d+)?\s*(?:in\.?|ft\.?|\"|''))(?!\w)"
    r"|(?<![\w.-])(?:\d+(?:[.,]\d+)?\s*(?:-|to|bis|a|à|/)\s*)?\d+(?:[.,]\d+)?\s*(?:cm|inches|inch|feet|foot)(?!\w)",
    re.IGNORECASE,
)
_FOOTNOTE = re.compile(r"(?<!mehlich)(?<!bray)\s*[(\[]\s*\d{1,2}\s*[)\]][\s:*]*$", re.IGNORECASE)
# 'OM (C x 1.72)': how it was worked out
_FACTOR = re.compile(r"\(?\s*\b(?:C|C ?org\.?|TOC|OC|SOC)\s*[x×*]\s*[12][.,]\d+\s*\)?")
_GRAIN = re.compile(r"\s*\([^()]*\d\s*(?:[µμu]m|mm)\s*\)")  # 'Silt (2 - 50 µm)': the size of its grains
_AT_DEGREES = re.compile(
    r"\s*[(,]?\s*(?:@|at|a|à|bei)\s*2[05]\s*°\s*C\)?", re.IGNORECASE
)  # of a conductivity
_AMOUNT = r"[.,]?\d[\d.,]*\s*%?\s*"
_WANTED = re.compile(rf"\s*\(\s*{_AMOUNT}(?:to|-|–|bis|à|a)\s*{_AMOUNT}(?<=%)\s*\)")  # 'Ca (60-70 %)'
_JOINED_PH = re.compile(r"(?<=[a-z])(?=pH(?![a-z]))")  # SoilpH
_RATIO = re.compile(r"(?<![A-Za-z\d])1to(?=\d)")  # 'ph_1to1' of data exports
_HYPHENATED = re.compile(r"(?<=[a-z])-[ \t]*\n\s*(?=[a-z])")
_POWER_OF = re.compile(r"(?:m|ft)$|[\^⁻]$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """One heading: folded text, its words, and the unit and layer that were cut out of it."""

    printed: str
    origin: tuple[int, ...]
    text: str
    bare: str
    words: tuple[Token, ...]
    unit: str = ""
    unit_printed: str = ""
    other_units: tuple[str, ...] = ()
    depth_printed: str = ""

    def original(self, start: int, end: int) -> str:
        """Return the stretch of folded text as it was printed, a bracket that it opened closed."""
        stretch = self.printed[self.origin[start] : self.origin[end - 1] + 1].strip()
        after = self.printed[self.origin[end - 1] + 1 :]
        return stretch + ")" if stretch.count("(") > stretch.count(")") and after.startswith(")") else stretch


def read_phrase(printed: str) -> Phrase:
    """Take a heading apart. Footnote marks go, and a form inside a unit (``mg P2O5/100 g``) stays a word."""
    printed = _without_asides(printed)
    text, origin = _fold(printed)
    found = [unit for unit in find_units(text) if unit[0] != "index"]
    spaced = text.replace("_", " ")
    for _, start, end in found:
        spaced = _blank(spaced, start, end, inner_form(text[start:end]))
    depth = _DEPTH.search(spaced)
    if depth:
        spaced = _blank(spaced, depth.start(), depth.end(), None)
    codes = tuple(dict.fromkeys(code for code, _, _ in found))
    phrase = Phrase(
        printed=printed,
        origin=tuple(origin),
        text=text,
        bare=spaced,
        words=tokens(spaced),
        unit=codes[0] if codes else "",
        other_units=codes[1:],
        depth_printed=depth.group().strip() if depth else "",
    )
    return replace(phrase, unit_printed=phrase.original(*found[0][1:])) if found else phrase


def _without_asides(printed: str) -> str:
    """Leave out what a heading adds that changes nothing: marks, grain sizes, factors, temperatures, aims."""
    for aside in (_FOOTNOTE, _GRAIN, _AT_DEGREES, _WANTED):
        printed = aside.sub("", printed)
    return _RATIO.sub("1:", _JOINED_PH.sub(" ", _FACTOR.sub(" ", printed)))


def _fold(printed: str) -> tuple[str, list[int]]:
    """Fold each character and remember where it came from; superscript footnote digits are dropped."""
    folded: list[str] = []
    origin: list[int] = []
    hyphens = {place for found in _HYPHENATED.finditer(printed) for place in range(*found.span())}
    for place, char in enumerate(printed):
        if place in hyphens or (char in "¹²³⁴⁵⁶⁷⁸⁹⁰" and not _is_power(printed, place)):
            continue
        for piece in fold_char(char):
            folded.append(piece)
            origin.append(place)
    return "".join(folded), origin


def _is_power(printed: str, place: int) -> bool:
    """Whether a superscript digit is a power (dm³, kg⁻¹) or a charge (Ca²⁺) rather than a footnote mark."""
    following = printed[place + 1 : place + 2]
    return bool(_POWER_OF.search(printed[:place])) or following in ("⁺", "⁻", "+")


def _blank(text: str, start: int, end: int, keep: tuple[int, int] | None) -> str:
    kept = (start + keep[0], start + keep[1]) if keep else (start, start)
    hidden = "".join(c if kept[0] <= i < kept[1] else GAP for i, c in enumerate(text[start:end], start))
    return text[:start] + hidden + text[end:]
