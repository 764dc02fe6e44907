"""CEC against organic matter, lime and ash."""

from collections.abc import Iterable
from dataclasses import replace

from soiltrend.balance import wording
from soiltrend.balance.nutrients import answer, items_of
from soiltrend.balance.organic import possible_organic
from soiltrend.balance.outcome import Possible
from soiltrend.balance.question import Question
from soiltrend.balance.ranges import Range, total
from soiltrend.balance.telling import most_line
from soiltrend.data import load_toml


def capacity(parts: Iterable[tuple[float, float]]) -> float:
    """Return the CEC in meq/100 g of a soil made of (percent by mass, meq/100 g of it) parts."""
    return sum(percent / 100.0 * each for percent, each in parts)


def possible_cec(asked: Question) -> Possible:
    """Return how far CEC can have moved, in meq/100 g.

    Humus gives about 2 (1 to 4) per point of organic matter, char little at first. Lime and ash
    add cations that a sum of cations counts without any new exchange site.
    """
    figures = load_toml("buildup")["cec"]
    organic = possible_organic(_organic_question(asked))
    lime = _meq(total(one.contents.lime_equivalent for one in asked.applied) * asked.soil_doubt, asked)
    water = load_toml("buildup")["water"]["lime_equivalent"] * asked.years
    more = _meq(Range(0.0, 0.0, water), asked).high
    expected = _expected(organic, lime)
    richest = figures["humus"][2]
    inputs_only = capacity([(organic.inputs_only, richest)]) + lime.high
    zero_loss = max(capacity([(organic.zero_loss, richest)]) + lime.high + more, expected.high)
    lines = (
        f"Organic matter can have moved by {wording.signed(organic.zero_loss)} points at most, "
        f"expected {wording.signed_spread(organic.expected)}.",
        f"Each point of it holds about {wording.spread(Range(*figures['humus']) / 100)} meq/100 g.",
        f"Lime, ash and hard water in a sum of cations: at most {wording.signed(lime.high + more)}.",
        most_line(zero_loss, expected),
    )
    items = items_of(asked, "organic_matter")
    return answer(
        asked,
        "meq/(100.g)",
        items,
        zero_loss=zero_loss,
        inputs_only=inputs_only,
        expected=expected,
        lines=lines,
    )


def _organic_question(asked: Question) -> Question:
    usual: float = load_toml("soil")["organic_matter"]["default_pct"][1]
    known = asked.organic_matter_pct if asked.organic_matter_pct is not None else usual
    return replace(asked, analyte="organic_matter", method="loss_on_ignition", start_value=known)


def _expected(organic: Possible, lime: Range) -> Range:
    """Return the expected change: humus and char by what each holds, lime's cations in part."""
    figures, char = load_toml("buildup")["cec"], organic.char.typical
    ends = []
    for i, points in enumerate((organic.expected.low, organic.expected.typical, organic.expected.high)):
        humus = points - char
        holds = figures["humus"][2 if humus < 0 and i == 0 else i]
        cations = figures["counted"][i] * (lime.low, lime.typical, lime.high)[i]
        ends.append(capacity([(humus, holds), (char, figures["char"][i])]) + cations)
    return Range(*sorted(ends))


def _meq(kg_m2: Range, asked: Question) -> Range:
    """Return meq/100 g of layer that so much CaCO3 is."""
    per_meq: float = load_toml("buildup")["cec"]["mg_caco3_per_meq"]
    return kg_m2 * (1e6 / per_meq / asked.layer.mass.typical)
