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
    per_point, per_char = Range(*figures["per_om_point"]), Range(*figures["char_per_point"])
    lime = _lime(asked, figures["mg_caco3_per_meq"])
    water = load_toml("buildup")["water"]["lime_equivalent"] * asked.years
    more = _meq(water, asked, figures["mg_caco3_per_meq"])
    char = organic.char.typical
    ends = [
        (organic.expected.low - char) * (per_point.high if organic.expected.low < char else per_point.low),
        (organic.expected.typical - char) * per_point.typical + char * per_char.typical + lime.typical / 2,
        max(0.0, organic.expected.high) * per_point.high + lime.high,
    ]
    expected = Range(*sorted(ends))
    inputs_only = organic.inputs_only * per_point.high + lime.high
    zero_loss = max(organic.zero_loss * per_point.high + lime.high + more, expected.high)
    lines = (
        f"Organic matter can have moved by {wording.signed(organic.zero_loss)} points at most, "
        f"expected {wording.signed_spread(organic.expected)}.",
        f"Each point of humus holds about {wording.spread(per_point)} meq/100 g.",
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


def _lime(asked: Question, mg_per_meq: float) -> Range:
    put = total(one.contents.lime_equivalent for one in asked.applied) * asked.soil_doubt
    return Range(*(_meq(end, asked, mg_per_meq) for end in (0.0, put.typical, put.high)))


def _meq(kg_m2: float, asked: Question, mg_per_meq: float) -> float:
    return kg_m2 / asked.layer.mass.typical * 1e6 / mg_per_meq
