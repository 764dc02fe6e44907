"""What a change would have taken: kg/m², inches of ordinary compost, buckets, wheelbarrows."""

from dataclasses import dataclass, replace
from functools import cache

from soiltrend.balance import wording
from soiltrend.balance.acidity import REFERENCE_PH, buffer_acidity, lime_for_one_unit, lime_requirement
from soiltrend.balance.amounts import parse_unit
from soiltrend.balance.kinetics import yearly_input
from soiltrend.balance.layer import Layer, layer_of
from soiltrend.balance.model import Balance
from soiltrend.balance.nutrients import QUANTITY, SYMBOL, rule_kg_per_ppm
from soiltrend.balance.ranges import Range
from soiltrend.balance.retention import retained
from soiltrend.balance.substances import Substance, tabled
from soiltrend.balance.wording import masses
from soiltrend.data import load_toml
from soiltrend.records.models import Bed


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """What a rise takes at least and more likely, per m² and for the bed.

    ``mass`` is kg/m² of what must be there (organic matter, P, K, … or lime). ``material`` is the
    ordinary compost (or limestone) that brings it: ``moist`` kg/m² and ``deep_cm``, from nothing
    lost to the usual loss. ``volume_m3``, ``buckets`` and ``wheelbarrows`` are for the whole
    bed, None where its area is not known. ``upkeep`` is kg/m² of organic matter as compost a year that
    holds the new level (organic matter only).
    """

    bed: str
    analyte: str
    change: float
    layer: Layer
    mass: Range
    material: str
    moist: Range
    deep_cm: Range
    volume_m3: Range | None
    buckets: Range | None
    wheelbarrows: Range | None
    text: str
    upkeep: Range | None = None


def needed_for(
    balance: Balance,
    bed: str,
    analyte: str,
    change: float,
    *,
    start_value: float = 0.0,
    layer: Layer | None = None,
    buffer_ph: float | None = None,
) -> Needed | None:
    """Return what a rise by ``change`` would have taken, or None where the balance says nothing.

    Parameters
    ----------
    balance : Balance
        For the bed's area and the garden's units; its applications are not looked at.
    bed, analyte : str
        Names as elsewhere; organic matter and carbon, P, K, Ca, Mg, S and pH are understood.
    change : float
        The rise, above zero, in the analyte's unit.
    start_value : float
        The level before; matters for organic matter (exact mixing).
    layer : Layer, optional
        The sampled layer; else the garden's.
    buffer_ph : float, optional
        Of the Mehlich buffer, for pH: the lime need then follows the N.C. formula instead of texture.
    """
    if change <= 0:
        return None
    known = start_value if analyte == "organic_matter" else None
    where = layer or layer_of(balance.garden, balance.bed(bed), organic_matter_pct=known)
    asked = _Asked(balance.garden.units, balance.bed(bed), analyte, change, start_value, where)
    if analyte in ("organic_matter", "organic_carbon"):
        return _organic(asked)
    if analyte in QUANTITY:
        return _nutrient(asked)
    return _lime(asked, buffer_ph) if analyte == "ph" else None


@dataclass(frozen=True, slots=True)
class _Asked:
    units: str
    bed: Bed
    analyte: str
    change: float
    start: float
    layer: Layer

    @property
    def soil(self) -> float:
        return self.layer.mass.typical

    def words(self, unit: str) -> str:
        return f"{wording.signed(self.change)} {unit} in {self.layer.words(masses(self.units))}"


def _organic(asked: _Asked) -> Needed:
    compost, half = _compost(), load_toml("soil")["compost"]["half_lost"]
    least = asked.soil * asked.change / 100.0
    dry = _dry_for(asked, compost, 1.0), _dry_for(asked, compost, half)
    what = "organic matter" if asked.analyte == "organic_matter" else "carbon"
    mass = Range(least, least, least / half)
    needed = _made(asked, mass, compost, Range(dry[0], dry[0], max(dry)), ("points", what))
    return _with_upkeep(needed, asked) if what == "organic matter" else needed


def _with_upkeep(needed: Needed, asked: _Asked) -> Needed:
    """Add what it takes each year to stay there: the soil's own loss made good by compost."""
    compost, figures = _compost(), load_toml("soil")
    kept = retained(compost.group, load_toml("dose")["repeated"]["long_age"]).typical
    target, losses = asked.start + asked.change, figures["native_loss"]["per_year"]
    yearly = Range(*(yearly_input(target, kept, loss, asked.soil) for loss in losses))
    kg = masses(asked.units)
    text = (
        f"{needed.text} Holding it there takes about {kg.spread(yearly)} of organic matter as compost a year."
    )
    return replace(needed, upkeep=yearly, text=text)


def _dry_for(asked: _Asked, compost: Substance, kept: float) -> float:
    """Return kg/m² of dry compost by exact mixing, with the share ``kept`` of its organic matter left.

    (M x0 + A) / (M + D) = x1 with A and D what is left. Where compost is hardly richer than the
    target no amount is enough; the short cut A = M (x1 - x0) then gives the least.
    """
    matter, least = compost.per_dry.organic_matter.typical, load_toml("soil")["compost"]["least_room"]
    held = matter if asked.analyte == "organic_matter" else compost.per_dry.carbon.typical
    target = (asked.start + asked.change) / 100.0
    room = held * kept - target * (1.0 - matter * (1.0 - kept))
    return asked.soil * asked.change / 100.0 / (room if room > least * held else held * kept)


def _nutrient(asked: _Asked) -> Needed:
    quantity, compost = QUANTITY[asked.analyte], _compost()
    least = likely = asked.soil * asked.change * 1e-6
    if quantity in load_toml("buildup")["lb_per_ppm"]:
        likely = max(least, rule_kg_per_ppm(quantity, asked.soil).typical * asked.change)
    mass = Range(least, least, likely)
    dry = mass / compost.per_dry[quantity].typical
    return _made(asked, mass, compost, dry, ("ppm", SYMBOL[quantity]))


def _lime(asked: _Asked, buffer_ph: float | None) -> Needed:
    share: float = asked.soil / load_toml("soil")["furrow_slice"]["kg_m2"]
    need = _lime_by_buffer(asked, buffer_ph)
    if need is None:
        need = lime_for_one_unit(asked.layer.texture)[1] * asked.change
    mass, limestone = need * share, tabled()["ground limestone"]
    dry = mass / limestone.per_dry.lime_equivalent.typical
    return _made(asked, mass, limestone, dry, ("pH", "lime (as CaCO3)"))


def _lime_by_buffer(asked: _Asked, buffer_ph: float | None) -> Range | None:
    """Return kg/m² by the buffer test, None where there is none or the formula does not reach."""
    target = asked.start + asked.change
    if buffer_ph is None or buffer_ph >= REFERENCE_PH or target >= REFERENCE_PH:
        return None
    tons = lime_requirement(asked.start, target, buffer_acidity(buffer_ph))
    return parse_unit("short ton/acre").per_m2(tons, None, planned=True)


@cache
def _compost() -> Substance:
    return tabled()[load_toml("soil")["compost"]["name"]]


def _made(asked: _Asked, mass: Range, material: Substance, dry: Range, words: tuple[str, str]) -> Needed:
    moist = dry / material.dry_matter.typical
    deep = moist / material.bulk_density.typical
    area = asked.bed.area_m2
    volume = None if area is None else deep * area
    needed = Needed(
        bed=asked.bed.bed,
        analyte=asked.analyte,
        change=asked.change,
        layer=asked.layer,
        mass=mass,
        material=material.name,
        moist=moist,
        deep_cm=deep * 100.0,
        volume_m3=volume,
        buckets=None if volume is None else volume / parse_unit("bucket").size.typical,
        wheelbarrows=None if volume is None else volume / parse_unit("wheelbarrow").size.typical,
        text="",
    )
    return replace(needed, text=_text(needed, asked, words))


def _text(needed: Needed, asked: _Asked, words: tuple[str, str]) -> str:
    unit, what = words
    kg, us = masses(asked.units), asked.units == "us"
    takes = f"{asked.words(unit)} takes {_between(needed.mass * kg.factor)} {kg.label} of {what}"
    if asked.analyte == "ph":
        put = f"{_between(needed.moist * kg.factor)} {kg.label} of {needed.material}"
        return f"{takes}: {put}; a buffer pH says it better than the texture."
    deep = f"{_between(needed.deep_cm * (1 / 2.54 if us else 1.0))} {'in' if us else 'cm'}"
    text = f"{takes}: {deep} of ordinary {needed.material}"
    if needed.buckets is not None and needed.wheelbarrows is not None:
        text += f", for this bed {_between(needed.buckets)} five-gallon buckets"
        text += f" or {_between(needed.wheelbarrows)} wheelbarrows"
    return f"{text} (from the least to the likely)."


def _between(values: Range) -> str:
    low, high = wording.plain(values.low, 2), wording.plain(values.high, 2)
    return low if low == high else f"{low} to {high}"
