"""The sentence to say instead: what the records carry, with beds, years, lab, method and interval."""

from __future__ import annotations

from soiltrend.claims.change import Change
from soiltrend.claims.judge import Judged
from soiltrend.claims.scope import Scope
from soiltrend.claims.words import pair, unit_word, years_text
from soiltrend.data import load_toml
from soiltrend.trends.words import analyte_name, tidy


def say_instead(judged: Judged) -> str:
    """Return one sentence, or two, that can be said in public without embarrassment."""
    change, scope = judged.change, judged.scope
    if change is None or scope is None:
        return _without_change(judged)
    sentence = f"{_who(scope, change)}, {_what(judged, change)}{_by_what(scope, change)}."
    return f"{sentence} {_but(judged)}".strip()


def _without_change(judged: Judged) -> str:
    name = (judged.statement.measure or "this").replace("_", " ")
    code = judged.reasons[0].code
    if code in {"no-measure", "no-direction", "not-measurable"}:
        return "Nothing that the records could carry: name a measurement, a direction and the years."
    return f"We have not measured {name} in a way that shows a change yet."


def _who(scope: Scope, change: Change) -> str:
    trend = change.trend
    first, last = (day.year if day else 0 for day in (trend.first_on, trend.last_on))
    years = str(first) if first == last else f"{first}–{last}"
    where = f"In {scope.label}" if scope.label != "the whole garden" else f"Over the {len(scope.beds)} beds"
    reports = f"{trend.n} yearly reports" if len(scope.beds) == 1 else f"{trend.n} yearly means"
    return f"{where}, {years} ({reports})"


def _what(judged: Judged, change: Change) -> str:
    name = "pH" if change.trend.analyte == "ph" else analyte_name(change.trend.analyte)
    unit = change.trend.unit
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
    first, last = str(change.trend.first_on), str(change.trend.last_on)
    rows = scope.rows[(scope.rows["sampled_on"] >= first) & (scope.rows["sampled_on"] <= last)]
    labs = [lab for lab in dict.fromkeys(rows["lab"]) if lab]
    names = load_toml("display")["methods"]
    methods = [str(names.get(m, m.replace("_", " "))) for m in dict.fromkeys(rows["method"]) if m]
    told = "; ".join(part for part in (", ".join(methods), " and ".join(labs)) if part)
    return f" ({told})" if told else ""


def _but(judged: Judged) -> str:
    codes = {reason.code for reason in judged.reasons}
    said: list[str] = []
    if judged.verdict == "unbelievable":
        said.append("We do not trust this size of change: what was put on cannot have made it.")
    elif "chosen-because-low" in codes:
        said.append("The bed was picked for a poor test, so part of a rise is luck.")
    if judged.statement.cause and "compared" not in codes:
        said.append(f"We cannot say that {judged.statement.cause} did it.")
    return " ".join(said)


def to_settle(judged: Judged) -> str:
    """Say what further sampling would settle the statement."""
    change = judged.change
    if change is None:
        return "File at least two reports of it by the same laboratory, method, depth and month."
    trend = change.trend
    unit = unit_word(trend.unit, change=True)
    detect = trend.smallest_detectable
    size = f"about {tidy(detect, detect / 10)} {unit}".rstrip() if detect else "a change"
    text = (
        f"With {trend.n} reports like these, {size} over the years covered is the smallest change that would "
        "usually show. Another year at the same laboratory, month and depth makes that smaller."
    )
    if judged.statement.cause or judged.statement.against_controls:
        text += " To say what did it, sample unamended beds beside the amended ones in the same years."
    return text
