"""Organic matter and carbon: how far what was put on can have moved them."""

import math
from dataclasses import dataclass

from soiltrend.balance import wording
from soiltrend.balance.counting import Method, carbon_method, om_method, om_methods
from soiltrend.balance.geometry import End, Item, bound_core, expected_core
from soiltrend.balance.mixes import Portion
from soiltrend.balance.model import Applied
from soiltrend.balance.outcome import Possible
from soiltrend.balance.profile import Core
from soiltrend.balance.question import Question
from soiltrend.balance.ranges import NOTHING, Range, total
from soiltrend.balance.retention import retained
from soiltrend.balance.stocks import stocks_after
from soiltrend.balance.telling import applied_lines, assumptions, span
from soiltrend.data import load_toml

ENDS: tuple[End, ...] = ("low", "typical", "high")


def possible_organic(asked: Question) -> Possible:
    """Return how far organic matter or carbon can have moved; ``asked.start_value`` is in percent.

    Largest: 100 (M OM0 + A)/(M + dry mass), nothing decayed, plus what may have grown in place. Expected:
    with retention by material and age, the soil's own loss, mixing depth and what grows in place.
    """
    method = _method(asked)
    items = _items(asked, method)
    bound = _bound(asked, items)
    grown = _grown(asked, brought=bound.counted > 0)
    inputs_only = max(0.0, 100.0 * bound.fraction(asked.start_value / 100.0) - asked.start_value)
    expected = _expected(asked, items, grown, _still_decaying(asked, method))
    most = max(inputs_only + grown.high, _ceiling(asked))
    zero_loss = max(min(most, _room(asked)), expected.high)
    char = _char(asked, method)
    told = _Told(asked, method, items, bound, grown, inputs_only, zero_loss, expected)
    return Possible(
        bed=asked.bed,
        analyte=asked.analyte,
        unit="%",
        method=asked.method,
        start=asked.start,
        end=asked.end,
        start_value=asked.start_value,
        layer=asked.layer,
        recorded=asked.balance.recorded,
        zero_loss=zero_loss,
        inputs_only=inputs_only,
        expected=expected,
        char=char,
        applied=total(method.counted(one.contents) for one in asked.applied),
        applications=len(asked.applied),
        stock=stocks_after(asked.layer, asked.start_value, asked.start_value + expected.typical),
        arithmetic=told.lines(),
        assumed=assumptions(asked),
    )


def _method(asked: Question) -> Method:
    return om_method(asked.method) if asked.analyte == "organic_matter" else carbon_method(asked.method)


def _items(asked: Question, method: Method) -> list[Item]:
    return [_item(asked, method, one, part) for one in asked.applied for part in one.portions]


def _item(asked: Question, method: Method, one: Applied, part: Portion) -> Item:
    kept = retained(part.substance.group, (asked.end - one.on).days / 365.25)
    counted = method.counted(part.contents) * asked.soil_doubt
    return Item(
        applied=one,
        group=part.substance.group,
        counted=counted,
        kept=counted * kept,
        dry=part.contents.dry_mass,
        organic=part.contents.organic_matter,
        retention=kept,
        thick=part.volume.typical,
    )


def _bound(asked: Question, items: list[Item]) -> Core:
    """Return the fullest core; where the method is not known, by whichever counts most."""
    start = asked.start_value / 100.0
    if asked.analyte != "organic_matter" or asked.method in om_methods():
        return bound_core(items, asked.layer, start)
    cores = [bound_core(_items(asked, known), asked.layer, start) for known in om_methods().values()]
    return max(cores, key=lambda core: core.fraction(start))


def _grown(asked: Question, *, brought: bool) -> Range:
    """Return the points that roots and residues grown in the bed may add, beside what was brought."""
    figures = load_toml("soil")["grown_in_place"]
    rates = figures["beside_inputs" if brought else "points_per_year"]
    return Range(*rates) * (_points(asked) * max(0.0, asked.years))


def _ceiling(asked: Question) -> float:
    """Return the highest credible rise of a bed on which nothing was put."""
    ceiling: float = load_toml("soil")["grown_in_place"]["no_input_ceiling"]
    return ceiling * _points(asked) * max(0.0, asked.years)


def _points(asked: Question) -> float:
    """Return what a tabled point (in 195 kg/m²) is in this layer, and as carbon where that is asked."""
    scale: float = load_toml("soil")["grown_in_place"]["layer_kg_m2"] / asked.layer.mass.typical
    if asked.analyte == "organic_matter":
        return scale
    return scale / om_methods()["dry_combustion"].factor.typical


def _expected(asked: Question, items: list[Item], grown: Range, decline: Range) -> Range:
    losses = load_toml("soil")["native_loss"]["per_year"]
    changes = []
    for end, loss in zip(ENDS, reversed(losses), strict=True):
        left = asked.start_value / 100.0 * math.exp(-loss * max(0.0, asked.years))
        value = 100.0 * expected_core(items, asked.layer, end).fraction(left)
        older = {"low": decline.high, "typical": decline.typical, "high": decline.low}[end]
        changes.append(min(value + getattr(grown, end) - older - asked.start_value, _room(asked)))
    return Range(*sorted(changes))


def _room(asked: Question) -> float:
    """Return the points up to a soil that is nothing else: carbon × 1.724 can exceed what is there."""
    return max(0.0, 100.0 - asked.start_value)


def _still_decaying(asked: Question, method: Method) -> Range:
    """Return the points that older applications, in the soil at the start, lose by the end."""
    back: float = load_toml("soil")["still_decaying"]["years_back"]
    lost = NOTHING
    for one in asked.before:
        age = (asked.start - one.on).days / 365.25
        if age > back:
            continue
        for part in one.portions:
            group = part.substance.group
            gone = retained(group, age).typical - retained(group, age + max(0.0, asked.years)).typical
            counted = method.counted(part.contents).typical
            lost += Range(0.0, counted * gone, counted * gone)
    return lost * (100.0 / asked.layer.mass.typical)


def _char(asked: Question, method: Method) -> Range:
    """Return the points of char that the method counts at the later date."""
    kept = [
        method.char_of(part.contents) * retained("char", (asked.end - one.on).days / 365.25)
        for one in asked.applied
        for part in one.portions
    ]
    soil = asked.layer.mass.typical + total(one.contents.dry_mass for one in asked.applied).typical
    return total(kept) * asked.soil_doubt * (100.0 / soil)


@dataclass(frozen=True, slots=True)
class _Told:
    """The lines of arithmetic, from the same numbers as the answer."""

    asked: Question
    method: Method
    items: list[Item]
    bound: Core
    grown: Range
    inputs_only: float
    zero_loss: float
    expected: Range

    def lines(self) -> tuple[str, ...]:
        return (self._soil(), *applied_lines(self.asked, self._what(), self.method.counted), *self._rest())

    def _what(self) -> str:
        return "organic matter" if self.asked.analyte == "organic_matter" else "carbon"

    def _soil(self) -> str:
        kg, mass = self.asked.masses, self.asked.layer.mass.typical
        start = self.asked.start_value
        held = wording.printed(start) / 100 * kg.printed(mass)
        share = f"{wording.plain(start)} % of {kg.number(mass)}"
        holds = f"{share} = {wording.plain(held)} {kg.label} of {self._what()}"
        return f"Soil in the layer, {self.asked.layer.words(kg)}. At the start {holds}."

    def _rest(self) -> tuple[str, ...]:
        lines = [self._largest()] if self.bound.counted > 0 else []
        return (*lines, self._in_place(), self._most(), self._expectation(), *self._loosening())

    def _largest(self) -> str:
        kg, core, start = self.asked.masses, self.bound, self.asked.start_value
        over = f"{kg.number(core.soil)} × {wording.plain(start)} % + {kg.number(core.counted)}"
        under = f"{kg.number(core.soil)} + {kg.number(core.dry)}"
        held = kg.printed(core.soil) * wording.printed(start) / 100 + kg.printed(core.counted)
        result = 100 * held / (kg.printed(core.soil) + kg.printed(core.dry))
        change = wording.signed(self.inputs_only)
        lifted = core.soil < 0.999 * self.asked.layer.mass.typical
        room = " (what was put on lifts some soil out of the layer)" if lifted else ""
        return (
            f"Nothing lost, all at its richest{room}: ({over}) / ({under}) = {wording.plain(result)} %, "
            f"that is {change} points."
        )

    def _in_place(self) -> str:
        rate = load_toml("soil")["grown_in_place"]
        high = rate["beside_inputs" if self.bound.counted > 0 else "points_per_year"][2]
        depth = "6 in" if self.asked.masses.inches else "15 cm"
        beside = f"{high:g} points a year in {depth}, {wording.signed(self.grown.high)} here in all"
        alone = f"beds without imports did up to {rate['no_input_ceiling']:g} a year"
        return f"Roots and residues grown in the bed in {span(self.asked)}: at most {beside} ({alone})."

    def _most(self) -> str:
        return f"Put on and grown in place, the most together: {wording.signed(self.zero_loss)} points."

    def _expectation(self) -> str:
        loss = load_toml("soil")["native_loss"]["per_year"]
        losing = f"the soil's own loses {100 * loss[1]:g} % a year ({100 * loss[0]:g} to {100 * loss[2]:g})"
        outcome = f"expected {wording.signed_spread(self.expected)} points."
        if not self.items:
            return f"Expected: {losing}, roots and residues add some: {outcome}"
        put = total(item.counted for item in self.items).typical
        left = total(item.kept for item in self.items).typical
        share = f"about {100 * left / put:.0f} % of it is still there" if put else "nothing of it counts"
        return f"Expected: {share} at the later test; {losing}: {outcome}"

    def _loosening(self) -> tuple[str, ...]:
        """Say what the typical outcome is to fixed depth and in equal soil mass, where they differ."""
        start, kg = self.asked.start_value, self.asked.masses
        both = stocks_after(self.asked.layer, start, start + self.expected.typical)
        matters = load_toml("soil")["stocks"]["matters_pct"]
        if both is None or abs(both.equal_mass_pct - both.fixed_depth_pct) < matters:
            return ()
        fixed = f"{kg.number(both.fixed_depth)} ({wording.signed(both.fixed_depth_pct)} %)"
        equal = f"{kg.of(both.equal_mass)} ({wording.signed(both.equal_mass_pct)} %)"
        where = f"{wording.signed(both.deeper_cm)} cm deeper" if both.deeper_cm > 0 else "less deep"
        before = f"from {kg.number(both.before)} to {fixed} to the same depth"
        return (f"The bed gets looser: typically {before}, to {equal} in the same mass of soil, {where}.",)
