"""pH against the lime equivalent put on and the soil's buffering."""

import re

from soiltrend.balance import wording
from soiltrend.balance.nutrients import answer, items_of, still_to_come
from soiltrend.balance.outcome import Possible
from soiltrend.balance.question import Question
from soiltrend.balance.ranges import Range, total
from soiltrend.balance.telling import applied_lines, most_line, span
from soiltrend.balance.wording import pounds_per_1000_ft2
from soiltrend.data import load_csv, load_toml

# Both in the N.C. lime formula: the pH of the Mehlich buffer itself.
REFERENCE_PH = 6.6


def lime_requirement(ph: float, target: float, acidity: float) -> float:
    """Return the lime rate for a target pH, in the unit of the buffer acidity ``acidity``.

    acidity × (target - pH) / (reference - pH): N.C. Dept of Agriculture lime table, where the acidity
    is 4 (6.6 - buffer pH) and the answer is in tons per acre.
    """
    return acidity * (target - ph) / (REFERENCE_PH - ph)


def buffer_acidity(buffer_ph: float) -> float:
    """Return 4 (6.6 - buffer pH), the acidity of the N.C. lime formula."""
    return 4.0 * (REFERENCE_PH - buffer_ph)


def lime_for_one_unit(texture: str) -> tuple[str, Range]:
    """Return the name of the texture class and its kg of CaCO3 per m² for one pH unit in a furrow slice."""
    rows = {row["texture"]: row for row in load_csv("lime")}
    wanted = re.sub(r"[^a-z ]", " ", texture.lower()).strip()
    found = next((row for row in rows.values() if wanted and wanted in row["written"].split(";")), None)
    row = found or rows["unknown"]
    per_1000_ft2 = Range(float(row["low"]), float(row["typical"]), float(row["high"]))
    return row["texture"], per_1000_ft2 / pounds_per_1000_ft2()


def possible_ph(asked: Question) -> Possible:
    """Return how far pH can have moved: lime equivalent over what this texture needs for one unit.

    The garden tables of lime need differ by 1.3 to 1.5 times, so the need is a range; season, hard water
    and lime still to dissolve widen the bound, and free lime stops the rise.
    """
    figures = load_toml("buildup")
    items = items_of(asked, "lime_equivalent")
    put = total(item.counted for item in items)
    acid = total(one.contents.acid_equivalent for one in asked.applied) * asked.soil_doubt
    texture, need = lime_for_one_unit(asked.layer.texture)
    need *= asked.layer.mass.typical / load_toml("soil")["furrow_slice"]["kg_m2"]
    more = still_to_come(asked, "lime_equivalent") + figures["water"]["lime_equivalent"] * asked.years
    inputs_only = _stopped(asked, put.high / need.low)
    drift = figures["ph"]["drift"]
    rise, fall = put / need, acid / need
    natural = figures["ph"]["fall_per_year"] * asked.years
    expected = Range(
        _stopped(asked, rise.low - fall.high - natural - drift),
        _stopped(asked, rise.typical - fall.typical),
        _stopped(asked, rise.high - fall.low) + drift,
    )
    season = figures["ph"]["season"]
    zero_loss = max(_stopped(asked, (put.high + more) / need.low) + season, expected.high)
    lines = (
        *applied_lines(asked, "lime (as CaCO3)", lambda contents: contents.lime_equivalent),
        f"One pH unit takes {asked.masses.spread(need)} of it in this layer (texture {texture}).",
        f"Hard water in {span(asked)} and earlier lime: at most {asked.masses.of(more, 2)}.",
        f"Season and moisture alone: {wording.signed(season)}.",
        most_line(zero_loss, expected),
    )
    return answer(
        asked, "[pH]", items, zero_loss=zero_loss, inputs_only=inputs_only, expected=expected, lines=lines
    )


def _stopped(asked: Question, change: float) -> float:
    """Return the change, not beyond the pH at which free lime (or ash, or burnt lime) stands."""
    limits = load_toml("buildup")["ph"]
    tags = {tag for one in asked.applied for part in one.portions for tag in part.substance.tags}
    ceiling: float = limits["caustic_ceiling" if "caustic" in tags else "calcite_ceiling"]
    deepest: float = limits["deepest_fall"]
    return max(-deepest, min(change, max(0.0, ceiling - asked.start_value)))
