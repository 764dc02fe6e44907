"""Names, units, dates and small grammar as a reader meets them."""

import re
from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Any

from soiltrend.data import load_toml
from soiltrend.report.numbers import NBSP

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip


def _display() -> dict[str, Any]:
    return load_toml("display")


@cache
def analyte_name(analyte: str) -> str:
    """Return the long name of an analyte or of a measure of the grower's own."""
    known = _display()["analytes"].get(analyte)
    return str(known[0] if known else _labels("analytes").get(analyte, _spaced(analyte).capitalize()))


@cache
def analyte_in_text(analyte: str) -> str:
    """Return the long name as it stands inside a sentence (``pH`` and ``CEC`` keep their capitals)."""
    name = analyte_name(analyte)
    return name if name[:2] == "pH" else name[:1].lower() + name[1:]


def analyte_short(analyte: str) -> str:
    """Return the short name for a table's head, at most some seven characters for a known analyte."""
    known = _display()["analytes"].get(analyte)
    return known[1] if known else _spaced(analyte)


@cache
def method_name(method: str) -> str:
    """Return the trade's name of a method; empty where the report does not say."""
    return str(_display()["methods"].get(method) or _labels("methods").get(method, _spaced(method)))


@cache
def unit_name(unit: str, system: str) -> str:
    """Return the unit as the grower prefers to read it (``system`` is ``metric`` or ``us``)."""
    known = _display()["units"].get(unit)
    return str(known[1 if system == "us" else 0]) if known else unit


def change_unit(unit: str, system: str) -> str:
    """Return the unit of a change: points for a percentage, pH units for pH."""
    known = _display()["units"].get(unit)
    return str(known[2]) if known and known[2] else unit_name(unit, system)


def long_date(day: date) -> str:
    """Return ``4 October 2021``, unbreakable."""
    return f"{day.day}{NBSP}{MONTHS[day.month - 1]}{NBSP}{day.year}"


def listed(items: Sequence[str]) -> str:
    """Return ``a``, ``a and b`` or ``a, b and c``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def first_sentence(text: str) -> tuple[str, str]:
    """Return the first sentence of ``text`` and the rest."""
    parts = re.split(r"(?<=[a-zäöü%)][.!?])\s+(?=[A-ZÄÖÜ“\"])", text, maxsplit=1)
    return parts[0], parts[1] if len(parts) > 1 else ""


def counted(number: int, one: str, many: str = "") -> str:
    """Return ``1 bed``, ``2 beds``, ``no beds``, unbreakable."""
    noun = one if number == 1 else many or f"{one}s"
    return f"{number or 'no'}{NBSP}{noun}"


@cache
def depth(from_cm: float | None, to_cm: float | None, system: str) -> str:
    """Return a sampled layer in centimetres or inches; empty where it is not known."""
    if to_cm is None:
        return ""
    factor, unit = (_display()["conversions"]["cm_per_inch"], "in") if system == "us" else (1.0, "cm")
    top, bottom = (round(value / factor, 1) for value in (from_cm or 0, to_cm))
    return f"{top:g}–{bottom:g}{NBSP}{unit}"


def area(square_metres: float, system: str) -> str:
    """Return a bed's area in square metres or square feet."""
    if system == "us":
        return f"{square_metres / _display()['conversions']['m2_per_ft2']:.3g}{NBSP}ft²"
    return f"{square_metres:.3g}{NBSP}m²"


@cache
def _labels(table: str) -> dict[str, str]:
    """Return the labels that the vocabulary gives to analytes or methods."""
    rows = load_toml(table)
    return {name: row["label"] for name, row in rows.get("method", rows).items() if "label" in row}


def _spaced(name: str) -> str:
    return name.replace("_", " ")
