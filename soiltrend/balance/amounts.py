"""An amount and its unit as a grower writes them → kg, m³ or m deep, per bed or per area."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any, Literal

from soiltrend.balance.ranges import Range
from soiltrend.data import load_toml
from soiltrend.errors import SoiltrendError

Kind = Literal["mass", "volume", "depth", "batch"]
Packing = Literal["", "loose", "settled"]


class UnknownUnit(SoiltrendError):  # noqa: N818 -- it names the thing, as the others in errors.py do
    """An amount's unit is not known, or says too little; ``advice`` names the nearest known ones."""

    def __init__(self, unit: str, expected: str, advice: str) -> None:
        self.unit, self.expected, self.advice = unit, expected, advice
        super().__init__(f"unit: expected {expected}, found {unit!r}. {advice}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit taken apart: ``size`` in kg, m³, m or batches, ``per_area`` in m² or None for a whole bed."""

    written: str
    name: str
    kind: Kind
    size: Range
    per_area: float | None = None
    packing: Packing = ""

    @property
    def needs_area(self) -> bool:
        """Whether the area of the bed must be known to say how much lies on a square metre."""
        return self.per_area is None and self.kind != "depth"

    def measured(self, amount: float) -> Range:
        """Return kg, m³, m or batches of ``amount`` of this unit as a grower measures it out."""
        return self.size * Range(*load_toml("amounts")["accuracy"][self.kind]) * amount

    def per_m2(self, amount: float, area_m2: float | None, *, planned: bool = False) -> Range:
        """Return kg/m², m³/m² (that is m deep) or batches/m² for ``amount`` of this unit.

        ``area_m2`` is used, and must be given, only where :attr:`needs_area` is true. What is ``planned``
        is taken as it stands, what was done as well as it can be measured.
        """
        area = area_m2 if self.needs_area else (self.per_area or 1.0)
        if area is None:
            raise ValueError(f"{self.written}: the area of the bed is needed")
        return (self.size * amount if planned else self.measured(amount)) / area


def parse_unit(text: str, garden_units: str = "metric", *, in_mix: bool = False) -> Unit:
    """Return what ``text`` means as a unit of an amount.

    Parameters
    ----------
    text : str
        As written, e.g. ``gal/10 ft2``, ``tons per acre``, ``5-gallon buckets (loose)``, ``in. deep``.
    garden_units : str
        ``us`` lets ``ton`` alone be the short ton.
    in_mix : bool
        Whether parts of one another (``part``, ``%``) say enough, as they do in a mix.

    Raises
    ------
    UnknownUnit
        The unit is not known, or ``ton`` alone leaves open which.
    """
    bare, packing = _take_packing(_normal(text))
    top, _, below = bare.partition("/")
    per_area = _area(below.strip(), text) if below else None
    name, kind, size = _top(top.strip(), text, by_acre="ac" in below, garden_units=garden_units)
    if kind == "depth" and per_area is not None:
        raise UnknownUnit(text, "a depth without an area, or an amount for an area", _advice(text))
    if not in_mix and _units().get(name, {}).get("mix_only"):
        raise UnknownUnit(text, "an amount, not a part of something", "Parts belong in mixes.csv.")
    return Unit(written=text, name=name, kind=kind, size=size, per_area=per_area, packing=packing)


def parse_rate(text: str, garden_units: str = "metric") -> tuple[float, Unit]:
    """Return number and unit of a rate such as ``1 gal/10 ft2`` or ``2 in deep``.

    Raises
    ------
    UnknownUnit
        There is no number above zero in front, or its unit is not known.
    """
    found = re.match(r"\s*(\d+\s+\d+/\d+|\d+/\d+|\d+,\d{3}(?!\d)|\d*[.,]?\d+)\s*(.*)$", text)
    number = _number(found.group(1)) if found else 0.0
    if not found or number <= 0:
        raise UnknownUnit(text, "a number above zero and a unit", "Write for example 1 gal/10 ft2.")
    return number, parse_unit(found.group(2), garden_units)


def _number(text: str) -> float:
    """Return a plain, decimal, broken (``1/2``) or mixed (``1 1/2``) number; 1,000 is a thousand."""
    if re.fullmatch(r"\d+,\d{3}", text):
        return float(text.replace(",", ""))
    whole, _, broken = text.rpartition(" ")
    over, _, under = broken.replace(",", ".").partition("/")
    if under and float(under) == 0:
        return 0.0
    return float(whole or 0) + float(over) / float(under or 1)


def _normal(text: str) -> str:
    """Lower-case, with one way to write powers, strokes and blanks."""
    plain = text.strip().lower().replace("³", "3").replace("²", "2").replace("^", "").replace("−", "-")
    plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", plain)
    plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    plain = re.sub(r"[()\[\],;]", " ", plain)
    plain = re.sub(r"(?<=[a-z])\.(?!\d)", "", plain)
    plain = re.sub(r"\b(cubic|cu)\s+([a-z]+)\b", r"\g<2>3", plain)
    plain = re.sub(r"\b(square|sq)\s+([a-z]+)\b", r"\g<2>2", plain)
    plain = re.sub(r"\b(ft|yd|m|yards?|foot|feet)\s+([23])\b", r"\1\2", plain)
    plain = re.sub(r"\s*(/|\bper\b|\bà\b)\s*", "/", plain)
    plain = re.sub(r"/(bed|plot|pot|container)s?\b|\beach\b|\bof\b|\blevel\b|\bfull\b", " ", plain)
    return re.sub(r"\s+", " ", plain).strip()


def _take_packing(text: str) -> tuple[str, Packing]:
    words = load_toml("amounts")["packing"]
    for packing in ("loose", "settled"):
        for word in words[packing]:
            if re.search(rf"\b{word}\b", text):
                rest = re.sub(r"\s+", " ", re.sub(rf"\b{word}\b", "", text)).strip()
                return rest.replace(" /", "/").replace("/ ", "/"), packing
    return text, ""


@cache
def _units() -> dict[str, dict[str, Any]]:
    return {word: row for row in load_toml("amounts")["unit"] for word in row["written"]}


@cache
def _areas() -> dict[str, float]:
    return {word: row["size"] for row in load_toml("amounts")["area"] for word in row["written"]}


def _size(row: dict[str, Any]) -> Range:
    size = row["size"]
    return Range(*size) if isinstance(size, list) else Range.exact(size)


def _top(text: str, written: str, *, by_acre: bool, garden_units: str) -> tuple[str, Kind, Range]:
    text = _settle_ton(text, written, by_acre=by_acre, garden_units=garden_units)
    row = _units().get(text)
    if row is not None:
        return row["name"], row["kind"], _size(row)
    vessel = re.fullmatch(
        r"(\d+(?:\.\d+)?)[\s-]*([a-z ]+?)[\s-]+(buckets?|pails?|wheelbarrows?|barrows?)", text
    )
    inner = _units().get(vessel.group(2)) if vessel else None
    if vessel and inner and inner["kind"] == "volume":
        return written.strip(), "volume", _size(inner) * float(vessel.group(1))
    raise UnknownUnit(written, "a unit of mass, volume or depth", _advice(text))


def _settle_ton(text: str, written: str, *, by_acre: bool, garden_units: str) -> str:
    ton = load_toml("amounts")["ton"]
    if text not in ton["written"]:
        return text
    if by_acre or garden_units == "us":
        return str(ton["acre"] if by_acre else ton["us"])
    raise UnknownUnit(
        written, "which ton it is", "Write 'short ton' (907 kg), 't' (1000 kg) or 'long ton' (1016 kg)."
    )


def _area(text: str, written: str) -> float:
    found = re.fullmatch(r"(\d+(?:\.\d+)?|)\s*([a-z]+2?)", text)
    size = _areas().get(found.group(2)) if found else None
    number = float(found.group(1) or 1) if found else 0.0
    if size is not None and number > 0:
        return number * size
    raise UnknownUnit(written, "an area behind the stroke, such as m2, 10 ft2, acre or ha", _advice(text))


def _advice(text: str) -> str:
    near = nearest(text, [*_units(), *_areas()])
    usual = "kg, lb, L, gal, bucket, wheelbarrow, yd3, kg/m2, t/ha, lb/1000 ft2, cm deep, in deep"
    return f"Nearest known: {', '.join(near)}." if near else f"Known are for example {usual}."


def nearest(name: str, known: Iterable[str], count: int = 3) -> list[str]:
    """Return up to ``count`` known names that look most like ``name``, the nearest first."""
    return get_close_matches(name.lower(), list(known), n=count, cutoff=0.6)
