"""One planned application worked out, bed by bed or for pots."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.balance.amounts import Unit, UnknownUnit, parse_rate
from soiltrend.balance.contents import Contents, total
from soiltrend.balance.effect import Effect, effects, level, repeated
from soiltrend.balance.layer import Layer, layer_of
from soiltrend.balance.mixes import Portion, Store
from soiltrend.balance.model import Applied
from soiltrend.balance.ranges import Range
from soiltrend.records.models import Bed, Garden

if TYPE_CHECKING:
    from soiltrend.trends import Trend


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one bed (or all pots together) gets: whole amounts, not per m², but for ``per_m2``.

    ``heap`` is its volume in m³ where the rate says so; else it follows from mass and density.
    """

    bed: str
    portions: tuple[Portion, ...]
    per_m2: bool = False
    heap: Range | None = None
    effects: tuple[Effect, ...] = ()

    @property
    def contents(self) -> Contents:
        """Return what it carries, in kg (or kg/m² where ``per_m2``)."""
        return total(part.contents for part in self.portions)


def depth_cm(text: str | None) -> float | None:
    """Return a depth such as ``6 in`` in cm, None where none is given.

    Raises
    ------
    UnknownUnit
        It is no depth.
    """
    if text is None:
        return None
    if text.strip() == "0":
        return 0.0
    amount, unit = parse_rate(text)
    if unit.kind != "depth":
        raise UnknownUnit(text, "a depth", "Write for example 6 in or 15 cm.")
    return 100.0 * amount * unit.size.typical


class Plan:
    """One plan being worked out; ``per_m2`` collects the loads for the cautions."""

    def __init__(self, garden: Garden, material: str, rate: str, today: date, dug_cm: float | None) -> None:
        self._garden, self._store, self._material = garden, Store(garden), material
        self._rate, self._today, self._dug_cm = rate, today, dug_cm
        self._share_of = _volume_share(rate)
        amount, unit = (0.0, CUBIC_METRE) if self._share_of else parse_rate(rate, garden.units)
        self._amount, self._unit = amount, unit
        self._store.find(material)
        self.per_m2: list[Contents] = []

    def share(self, bed: Bed, trends: "Sequence[Trend]", noise: Mapping[tuple[str, str], float]) -> Share:
        """Return what one bed gets: whole where its area is known or not needed, else per m²."""
        if self._unit.needs_area and not self._share_of and bed.area_m2 is None:
            return self._made(bed.bed, self._unit.size * self._amount)
        known = level(trends, bed.bed, "organic_matter")
        layer = layer_of(self._garden, bed, organic_matter_pct=known)
        amount = self._per_m2(bed, layer)
        applied = self._applied(bed, layer, amount)
        self.per_m2.append(applied.contents)
        found = (*effects(self._garden, layer, applied, trends, noise), *repeated(layer, applied, trends))
        whole = self._made(bed.bed, amount * (bed.area_m2 or 1.0))
        return replace(whole, per_m2=bed.area_m2 is None, effects=found)

    def potted(self, text: str) -> Share:
        """Return what pots written as ``12 x 5 gal`` get together."""
        count, each = _pots(text, self._garden.units)
        if self._share_of:
            return self._made(text, each * (self._share_of * count))
        if self._unit.per_area is not None or self._unit.kind == "depth":
            advice = "Write for example 10 % or 1 cup."
            raise UnknownUnit(self._rate, "a share of the pots or an amount for each", advice)
        return self._made(text, self._unit.size * (self._amount * count))

    def _per_m2(self, bed: Bed, layer: Layer) -> Range:
        if self._share_of:
            depth = self._dug_cm or layer.thickness_cm
            return Range.exact(depth / 100.0 * self._share_of)
        return self._unit.per_m2(self._amount, bed.area_m2, planned=True)

    def _made(self, name: str, amount: Range) -> Share:
        heap = amount if self._unit.kind in ("volume", "depth") else None
        portions = self._store.portions(self._material, self._unit, amount)
        return Share(bed=name, portions=portions, heap=heap)

    def _applied(self, bed: Bed, layer: Layer, amount: Range) -> Applied:
        return Applied(
            bed=bed.bed,
            on=self._today,
            material=self._material,
            amount=self._amount,
            unit=self._unit.written,
            line=0,
            mixed_to_cm=layer.depth_to_cm if self._dug_cm is None else self._dug_cm,
            portions=self._store.portions(self._material, self._unit, amount),
        )


# A volume of the plan's own making.
CUBIC_METRE = Unit(written="m3", name="m3", kind="volume", size=Range.exact(1.0))


def _volume_share(rate: str) -> float:
    """Return the share of ``5 %`` or ``5 % by volume``; 0 where the rate is an amount."""
    found = re.fullmatch(r"\s*(\d*[.,]?\d+)\s*(?:%|percent|vol\.?\s*%)\s*(?:by volume)?\s*", rate.lower())
    if not found:
        return 0.0
    share = float(found.group(1).replace(",", ".")) / 100.0
    if not 0 < share < 1:
        raise UnknownUnit(rate, "a share between 0 and 100 %", "Write for example 5 %.")
    return share


def _pots(text: str, units: str) -> tuple[int, Range]:
    """Return number and volume in m³ of pots written as ``12 x 5 gal`` or ``5 gal``."""
    found = re.fullmatch(r"\s*(?:(\d+)\s*[x×*]\s*)?(.+)", text.lower())
    amount, unit = parse_rate(found.group(2) if found else text, units)
    count = int(found.group(1) or 1) if found else 1
    if unit.kind != "volume" or unit.per_area is not None or count < 1:
        raise UnknownUnit(text, "pots as number x volume", "Write for example 12 x 5 gal.")
    return count, unit.size * amount
