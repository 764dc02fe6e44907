"""Sampled layers as reports print them → centimetres."""

import re
from functools import lru_cache

CM_PER = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "ft": 30.48}
_UNITS = {
    "cm": "cm", "centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm",
    "zentimeter": "cm", "centimetros": "cm", "mm": "mm", "m": "m", "meter": "m", "metre": "m", "metres": "m",
    "in": "in", "in.": "in", "inch": "in", "inches": "in", '"': "in", "”": "in", "″": "in", "''": "in",
    "zoll": "in", "pouces": "in", "pulgadas": "in", "ins": "in",
    "ft": "ft", "ft.": "ft", "foot": "ft", "feet": "ft", "'": "ft",
}  # fmt: skip
_UNIT = "|".join(sorted((re.escape(unit) for unit in _UNITS), key=len, reverse=True))
_NUMBER = r"\d+(?:[.,]\d+)?"
_RANGE = re.compile(
    rf"(?<![\w.,/-])({_NUMBER})\s*({_UNIT})?\s*(?:-|–|—|to|bis|à|a|hasta|until|/)\s*({_NUMBER})\s*({_UNIT})?(?![\w/])",
    re.IGNORECASE,
)
_SINGLE = re.compile(rf"(?<![\w.,/-])({_NUMBER})\s*-?\s*({_UNIT})(?![\w/])", re.IGNORECASE)
_UNIT_ALONE = re.compile(rf"(?<![\w])({_UNIT})(?![\w])", re.IGNORECASE)
_BARE = re.compile(rf"{_NUMBER}\s*(?:-|–|—|to|bis|à|a)\s*{_NUMBER}")
_SIGNS = {"½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4}
_FRACTION = re.compile(
    r"(?<![\d.,/])(?P<whole>\d+)(?:\s*(?P<sign>[½⅓⅔¼¾])|\s+(?P<top>[1-7])/(?P<bottom>[2-8])(?!\d))"
)
DEEPEST_CM = 300.0

Layer = tuple[float, float]


@lru_cache(maxsize=5000)
def find_layer(text: str, unit: str = "") -> Layer | None:
    """Return (from, to) in cm of the layer in ``text``; ``unit`` counts where none is printed with it.

    ``6 in`` alone is the layer from the surface down. None where there is no layer, no unit, or it is
    upside down or deeper than any garden is sampled.
    """
    text = _FRACTION.sub(_decimal, text)
    found = _RANGE.search(text)
    if found:
        printed = _unit(found[4]) or _unit(found[2]) or unit or _unit_beside(text)  # "15 cm (0-15)"
        return _layer(_number(found[1]), _number(found[3]), printed)
    single = _SINGLE.search(text)
    if single:
        return _layer(0.0, _number(single[1]), _unit(single[2]))
    if unit and re.fullmatch(rf"\s*{_NUMBER}\s*", text):
        return _layer(0.0, _number(text), unit)
    return None


def _unit_beside(text: str) -> str:
    """Return the unit of a single depth in the text: of '15 cm (0-15)'."""
    single = _SINGLE.search(text)
    return _unit(single[2]) if single else ""


def _decimal(found: re.Match[str]) -> str:
    """Write '6 2/3' and '6⅔' as 6.667: the stroke of a fraction is no 'to'."""
    if found["sign"]:
        share = _SIGNS[found["sign"]]
    else:
        share = int(found["top"]) / int(found["bottom"])
    return f"{int(found['whole']) + share:.3f}"


def depth_unit(text: str) -> str:
    """Return the unit of length named in a label such as ``Depth (cm)``, or ``""``."""
    found = _UNIT_ALONE.search(text.replace("_", " "))
    return _unit(found[1]) if found else ""


def is_layer(text: str) -> bool:
    """Whether ``text`` is a layer with its unit and nothing else."""
    found = _RANGE.search(text) or _SINGLE.search(text)
    if found is None or find_layer(text) is None:
        return False
    return len(found[0]) >= len(text.strip()) - 8


def is_bare_layer(text: str) -> bool:
    """Whether ``text`` is a layer from the surface or below without a unit: ``0-6``, no single number."""
    return bool(_BARE.fullmatch(text.strip()))


def to_cm(number: float, unit: str) -> float | None:
    """Return ``number`` of ``unit`` in cm, or None without a unit."""
    return round(number * CM_PER[unit], 2) if unit in CM_PER else None


def _layer(start: float, end: float, unit: str) -> Layer | None:
    if unit not in CM_PER:
        return None
    top, bottom = round(start * CM_PER[unit], 2), round(end * CM_PER[unit], 2)
    return (top, bottom) if 0 <= top < bottom <= DEEPEST_CM else None


def _unit(text: str | None) -> str:
    return _UNITS.get((text or "").lower(), "")


def _number(text: str) -> float:
    return float(text.strip().replace(",", "."))
