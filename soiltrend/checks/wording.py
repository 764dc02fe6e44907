"""Numbers, names and lists in the sentences of findings: plain, and never more figures than they carry."""

import math
from collections.abc import Iterable, Sequence
from datetime import date

from soiltrend.data import load_toml

SHOWN_BEDS = 4


def analyte_name(analyte: str) -> str:
    """Return the name a grower reads, in lower case except for symbols such as pH."""
    names = load_toml("display")["analytes"]
    name = str(names[analyte][0]) if analyte in names else analyte.replace("_", " ")
    return name if name.startswith("pH") else name[0].lower() + name[1:]


def method_name(method: str) -> str:
    """Return the trade's term of a method, or words for a method that is not named."""
    return str(load_toml("display")["methods"].get(method, method.replace("_", " "))) or "no method named"


def unit_name(unit: str) -> str:
    """Return the unit as printed for a reader; pH has none."""
    return {"[pH]": "", "meq/(100.g)": "meq/100 g", "mg/dm3": "mg/dm³", "g/cm3": "g/cm³"}.get(unit, unit)


def figure(value: float, figures: int = 3) -> str:
    """Return ``value`` with about three figures, without a needless exponent or trailing zeros."""
    if not math.isfinite(value):
        return "unknown"
    if value == 0:
        return "0"
    decimals = max(figures - 1 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:,.{decimals}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−").replace(",", " ")


def printed(value: float, figures: int = 3) -> float:
    """Return the number that a reader sees of ``value``: sums are made of these, so that they compute."""
    return float(figure(value, figures).replace("−", "-").replace(" ", ""))


def amount(value: float, unit: str, figures: int = 3) -> str:
    """Return value and unit: ``45 mg/kg``, ``3.4 %``, ``6.5``."""
    return f"{figure(value, figures)} {unit_name(unit)}".strip()


def change(size: float, log: bool, unit: str) -> str:
    """Return a change on the scale of a fit in words: ``× 2.29``, ``÷ 2.29`` or ``+0.8 points``."""
    if log:
        return f"× {figure(math.exp(size))}" if size >= 0 else f"÷ {figure(math.exp(-size))}"
    name = {"%": " points", "[pH]": ""}.get(unit, f" {unit_name(unit)}")
    return f"{'+' if size >= 0 else '−'}{figure(abs(size), 2)}{name}"


def listed(names: Iterable[str], most: int | None = None) -> str:
    """Return ``a``, ``a and b`` or ``a, b and c``; beyond ``most`` the rest is counted."""
    items = list(names)
    if most is not None and len(items) > most:
        items = [*items[: most - 1], f"{len(items) - most + 1} more"]
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + f" and {items[-1]}" if items else "none"


def day(when: date) -> str:
    """Return a date in words: ``12 April 2021``."""
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


MONTHS: Sequence[str] = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def sentence(text: str) -> str:
    """Return ``text`` with a capital letter in front, except before pH."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def once_in(chance: float) -> str:
    """Return a small chance in words: ``once in 800``."""
    if chance >= 0.5:
        return "more often than not"
    number = 1 / chance
    if number >= 1e6:
        return "less than once in a million"
    rounded = round(number, -max(math.floor(math.log10(number)), 0))
    return f"about once in {figure(rounded, 2)}"
