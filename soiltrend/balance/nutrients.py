"""P, K, Ca, Mg, S and total N: nutrient put on against nutrient shown."""

from soiltrend.balance import wording
from soiltrend.balance.geometry import End, Item, bound_core, expected_core
from soiltrend.balance.mixes import Portion
from soiltrend.balance.model import Applied
from soiltrend.balance.outcome import Possible
from soiltrend.balance.profile import Core
from soiltrend.balance.question import Question
from soiltrend.balance.ranges import Range, total
from soiltrend.balance.retention import retained
from soiltrend.balance.telling import applied_lines, assumptions, span
from soiltrend.data import load_csv, load_toml

QUANTITY = {"phosphorus": "p", "potassium": "k", "calcium": "ca", "magnesium": "mg", "sulfur": "s"}
SYMBOL = {"p": "P", "k": "K", "ca": "Ca", "mg": "Mg", "s": "S", "n": "N"}
_PPM = 1e6
_SOLUBLE = ("k",)
ENDS: tuple[End, ...] = ("low", "typical", "high")


def possible_nutrient(asked: Question) -> Possible:
    """Return how far an extracted element can have moved, in mg/kg.

    Largest: every gram put on (and in hard irrigation water) shown by the test and left in the layer.
    Expected: build-up rules for P and K, less what crops take off; a share of the rest.
    """
    quantity = QUANTITY[asked.analyte]
    items = items_of(asked, quantity)
    bound = bound_core(items, asked.layer, asked.start_value / _PPM)
    inputs_only = max(0.0, _PPM * bound.fraction(asked.start_value / _PPM) - asked.start_value)
    to_come, water = still_to_come(asked, quantity), _per_year("water", quantity, asked)
    beside = (to_come + water) * _PPM / asked.layer.mass.low
    expected, rule = _expected(asked, quantity, total(item.counted for item in items), water)
    zero_loss = max(inputs_only + beside, expected.high)
    lines = (
        *applied_lines(asked, SYMBOL[quantity], lambda contents: contents[quantity]),
        *_bound_lines(asked, SYMBOL[quantity], bound, inputs_only),
        _beside_line(asked, to_come, water, beside),
        f"The most that is possible: {wording.signed(zero_loss)} ppm.",
        rule,
    )
    return answer(
        asked,
        "mg/kg",
        items,
        zero_loss=zero_loss,
        inputs_only=inputs_only,
        expected=expected,
        lines=lines,
    )


def possible_total_n(asked: Question) -> Possible:
    """Return how far total nitrogen can have moved, in percent of the soil.

    Nitrogen goes with the organic matter it is in; legumes may fix some in place.
    """
    items = items_of(asked, "n")
    start = asked.start_value / 100.0
    bound = bound_core(items, asked.layer, start)
    inputs_only = max(0.0, 100.0 * bound.fraction(start) - asked.start_value)
    figures = load_toml("buildup")["total_n"]
    fixed = figures["fixed_pct_per_year"] * asked.years
    losses = [loss * asked.years for loss in load_toml("soil")["native_loss"]["per_year"]]
    changes = [
        100.0 * expected_core(items, asked.layer, end).fraction(start) - asked.start_value * (1 + loss)
        for end, loss in zip(ENDS, reversed(losses), strict=True)
    ]
    expected = Range(*sorted((changes[0], changes[1], changes[2] + fixed)))
    zero_loss = max(inputs_only + fixed, expected.high)
    lines = (
        *applied_lines(asked, "N", lambda contents: contents.n),
        *_bound_lines(asked, "N", bound, inputs_only, 100.0),
        f"Legumes may fix up to {wording.signed(fixed)} points in {span(asked)}.",
        f"The most that is possible: {wording.signed(zero_loss)} points.",
        f"Expected, going with the organic matter: {wording.signed_spread(expected)} points.",
    )
    return answer(
        asked, "%", items, zero_loss=zero_loss, inputs_only=inputs_only, expected=expected, lines=lines
    )


def answer(
    asked: Question,
    unit: str,
    items: list[Item],
    *,
    zero_loss: float,
    inputs_only: float,
    expected: Range,
    lines: tuple[str, ...],
) -> Possible:
    """Return the answer with what every one of them holds."""
    return Possible(
        bed=asked.bed,
        analyte=asked.analyte,
        unit=unit,
        method=asked.method,
        start=asked.start,
        end=asked.end,
        start_value=asked.start_value,
        layer=asked.layer,
        recorded=asked.balance.recorded,
        zero_loss=zero_loss,
        inputs_only=inputs_only,
        expected=expected,
        applied=total(item.counted for item in items),
        applications=len(asked.applied),
        arithmetic=(f"Soil in the layer, {asked.layer.words(asked.masses)}.", *lines),
        assumed=assumptions(asked),
    )


def items_of(asked: Question, quantity: str) -> list[Item]:
    """Return what was put on between the dates with ``quantity`` followed, kept as its material keeps."""
    return [_item(asked, quantity, one, part) for one in asked.applied for part in one.portions]


def _item(asked: Question, quantity: str, one: Applied, part: Portion) -> Item:
    kept = retained(part.substance.group, (asked.end - one.on).days / 365.25)
    counted = part.contents[quantity] * asked.soil_doubt
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


def still_to_come(asked: Question, quantity: str) -> float:
    """Return kg/m² put on before the start that may not have acted yet: slow manure, undissolved lime."""
    if quantity in _SOLUBLE:
        return 0.0
    steps = load_toml("buildup")["still_to_come"]
    found = 0.0
    for one in asked.before:
        age = (asked.start - one.on).days / 365.25
        share = next((step["share"] for step in steps if age <= step["until_years"]), 0.0)
        found += share * one.contents[quantity].high
    return found


def _per_year(table: str, quantity: str, asked: Question) -> float:
    return float(load_toml("buildup")[table].get(quantity, 0.0)) * asked.years


def oxide_factor(quantity: str) -> float:
    """Return how much element is in one part of its oxide (P2O5, K2O)."""
    return next(float(row["factor"]) for row in load_csv("oxides") if row["quantity"] == quantity)


def rule_kg_per_ppm(quantity: str, soil_kg_m2: float) -> Range:
    """Return the kg of element per m² that move the test by 1 mg/kg in this much soil.

    The rules are in lb of oxide per acre and ppm for the furrow slice; less soil needs less.
    """
    rule = Range(*load_toml("buildup")["lb_per_ppm"][quantity]["per_ppm"])
    slice_ = load_toml("soil")["furrow_slice"]
    per_lb_acre: float = slice_["kg_m2"] / slice_["lb_per_acre"]
    share: float = soil_kg_m2 / slice_["kg_m2"]
    return rule * (oxide_factor(quantity) * per_lb_acre * share)


def _expected(asked: Question, quantity: str, put: Range, water: float) -> tuple[Range, str]:
    figures, soil = load_toml("buildup"), asked.layer.mass.typical
    if quantity in figures["lb_per_ppm"]:
        return _by_rule(asked, quantity, put)
    share = Range(*figures["shown"][quantity]["share"])
    rise = put * share * (_PPM / soil)
    expected = Range(min(rise.low, 0.0), rise.typical, rise.high + share.high * water * _PPM / soil)
    said = f"Expected, {wording.spread(share * 100)} % of it shown"
    return expected, f"{said}: {wording.signed_spread(expected)} ppm."


def _by_rule(asked: Question, quantity: str, put: Range) -> tuple[Range, str]:
    rule = rule_kg_per_ppm(quantity, asked.layer.mass.typical)
    taken = removed(quantity) * asked.years
    rise = put / rule
    fall = (taken.typical / rule.typical, taken.high / rule.typical)
    expected = Range(rise.low - fall[1], rise.typical - fall[0], rise.high)
    kg, symbol = asked.masses, SYMBOL[quantity]
    said = (
        f"Expected by build-up rules, {kg.spread(rule * 10)} of {symbol} for 10 ppm, less "
        f"{kg.spread(taken)} that crops take off: {wording.signed_spread(expected)} ppm."
    )
    return expected, said


def removed(quantity: str) -> Range:
    """Return kg of element (``p`` or ``k``) per m² that crops take off in a year: none, vegetables, corn."""
    slice_ = load_toml("soil")["furrow_slice"]
    oxide = Range(*load_toml("buildup")["removal"][quantity]["per_year"])
    per_lb_acre: float = slice_["kg_m2"] / slice_["lb_per_acre"]
    return oxide * (oxide_factor(quantity) * per_lb_acre)


def _bound_lines(
    asked: Question, symbol: str, core: Core, change: float, scale: float = _PPM
) -> tuple[str, ...]:
    if core.counted == 0:
        return ()
    kg, unit = asked.masses, "ppm" if scale == _PPM else "points"
    under = f"({kg.number(core.soil)} + {kg.number(core.dry)})"
    much = f"{kg.number(core.counted)} of {symbol} in {under} of soil"
    return (f"All of it shown and none lost, at its richest: {much}, {wording.signed(change)} {unit}.",)


def _beside_line(asked: Question, to_come: float, water: float, beside: float) -> str:
    kg = asked.masses
    earlier = f"{kg.of(to_come, 2)} put on before and slow to act"
    wet = f"{kg.of(water, 2)} in {span(asked)} of hard water"
    return f"Beside it at most {earlier}, and {wet}: {wording.signed(beside)} ppm."
