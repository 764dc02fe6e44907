"""The sentence to say instead: what the records carry, with beds, years, lab, method and interval."""

from __future__ import annotations

from soiltrend.claims.beside import Beside
from soiltrend.claims.change import Change, made_by
from soiltrend.claims.judge import Judged
from soiltrend.claims.scope import Scope, listed
from soiltrend.claims.words import counted_days, method_name, pair, unit_word, years_text
from soiltrend.trends.words import analyte_name, tidy


def say_instead(judged: Judged) -> str:
    """Return one sentence, or two, that can be said in public without embarrassment."""
    change, scope = judged.change, judged.scope
    if judged.sides is not None:
        return _side_by_side(judged, judged.sides)
    if change is None or scope is None:
        return _without_change(judged)
    sentence = f"{_who(scope, change)}, {_what(judged, change)}."
    return " ".join(part for part in (sentence, _by_what(scope, change), _but(judged)) if part)


def _without_change(judged: Judged) -> str:
    name = analyte_name(judged.statement.measure or "this")
    code = judged.reasons[0].code
    if code in {"no-measure", "no-direction", "not-measurable"}:
        return "Nothing that the records could carry: name a measurement, a direction and the years."
    if code in {"unknown-bed", "unknown-group"}:
        return "Nothing yet: name beds that the records know."
    if code == "not-comparable" and judged.scope is not None:
        return _changed(name, judged.scope)
    if code in {"span-not-covered", "unit-not-comparable", "level-and-sides", "one-year-only"}:
        return f"Our records of {name} cannot say that."
    if code in {"too-few", "no-shared-day", "no-comparison"}:
        return f"We have measured {name} too seldom to say that."
    return f"We have not measured {name}."


def _changed(name: str, scope: Scope) -> str:
    """Name what changed between two tests that cannot be compared, in place of a change of the soil."""
    rows = scope.rows.sort_values("sampled_on")
    labs = [lab for lab in dict.fromkeys(rows["lab"]) if lab]
    methods = [method_name(m) for m in dict.fromkeys(rows["method"]) if m]
    changed = [
        f"the {kind} changed ({' to '.join(told[:3])})"
        for kind, told in (("laboratory", labs), ("method", methods))
        if len(told) > 1
    ]
    why = " and ".join(changed) or "the sampled layer changed"
    return f"Between these tests {why}, so we cannot say whether {name} did."


def _side_by_side(judged: Judged, sides: Beside) -> str:
    """Say how two sides of beds stand, with days, interval and beds."""
    name = analyte_name(sides.analyte)
    between = pair(sides.low, sides.high, sides.mode, sides.shown, 1, to="to")
    area = f"{name} per area" if sides.per_area else name
    days = counted_days(sides.visits)
    counts = f"{len(sides.beds)} beds against {len(sides.reference)}"
    beds = "one bed against one" if sides.single else counts
    who = f"{sides.label} against {sides.reference_label}"
    if sides.low > 0 or sides.high < 0:
        what = f"{area} was {'higher' if sides.low > 0 else 'lower'}: {who}, {between}"
    else:
        what = (
            f"no difference of {area} is shown between {sides.label} and {sides.reference_label}: anything "
            f"from {between} fits"
        )
    sentence = f"{days}, {what} (95 % interval; {beds})."
    return f"{sentence} {_but(judged)}".strip()


def _who(scope: Scope, change: Change) -> str:
    trend = change.trend
    first, last = (day.year if day else 0 for day in (trend.first_on, trend.last_on))
    years = str(first) if first == last else f"{first}–{last}"
    where = f"In {scope.label}" if scope.label != "the whole garden" else f"Over the {len(scope.beds)} beds"
    reports = f"{trend.n} reports" if len(scope.beds) == 1 else f"{trend.n} yearly means"
    return f"{where}, {years} ({reports})"


def _what(judged: Judged, change: Change) -> str:
    name = "pH" if change.trend.analyte == "ph" else analyte_name(change.trend.analyte)
    unit = change.unit
    low, high = change.total(change.low), change.total(change.high)
    span = "a year" if judged.statement.per_year else f"in {_span(change)}"
    between = pair(low, high, "absolute", unit, 1, to="to")
    if low > 0 or high < 0:
        way = "rose" if low > 0 else "fell"
        middle = tidy(abs(change.total(change.middle)), (high - low) / 2)
        word = unit_word(unit, change=True)
        return f"{name} {way} by about {middle} {word} {span} (95 % interval {between})".replace("  ", " ")
    return f"a change of {name} is not shown: {span}, anything from {between} fits"


def _span(change: Change) -> str:
    """Say how long; where laboratory or method changed, only the years on either side can be compared."""
    trend = change.trend
    covered = (trend.last_on - trend.first_on).days / 365.25 if trend.first_on and trend.last_on else 0.0
    years = years_text(change.years)
    apart = abs(covered - (trend.span_years or covered)) > 0.5 and change.years == trend.span_years
    return f"the {years} that can be compared" if apart else years


def _by_what(scope: Scope, change: Change) -> str:
    labs, methods = made_by(change, scope)
    if methods == ["own measurement"]:
        return "We measured it ourselves."
    how, where = listed(methods), listed(labs)
    told = f"{f' by {how}' if how else ''}{f' at {where}' if where else ''}"
    return f"Tested{told}." if told else ""


def _but(judged: Judged) -> str:
    codes = {reason.code for reason in judged.reasons}
    said: list[str] = []
    if judged.verdict == "unbelievable":
        said.append("We do not trust this size of change: what was put on cannot have made it.")
    elif "chosen-because-low" in codes:
        one = judged.scope is not None and len(judged.scope.beds) == 1
        bed = "The bed" if one else "A bed among them"
        said.append(f"{bed} was picked for a poor test, so part of a rise is luck.")
    if judged.statement.cause and "compared" not in codes:
        said.append(f"We cannot say that {judged.statement.cause} did it.")
    return " ".join(said)


def to_settle(judged: Judged) -> str:
    """Say what further sampling would settle the statement."""
    return judged.settle
