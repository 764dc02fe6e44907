"""What further tests would settle a statement, and how many years of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from soiltrend.claims.change import Change
from soiltrend.claims.evidence import Evidence
from soiltrend.claims.scope import Reason, Scope
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import Target
from soiltrend.claims.words import amount, own_measurement
from soiltrend.data import load_toml
from soiltrend.planning import testable_year
from soiltrend.planning.schedule import future_visits, next_visit

CONTROLS = (
    "To say what did it, measure unamended beds beside the amended ones in the same years, drawn by lot, "
    "two or more of each."
)


def settle_untested(statement: Statement, reason: Reason) -> str:
    """Return what would make a statement testable that is not."""
    words = load_toml("claim_settle")["untested"]
    if reason.code in words:
        return str(words[reason.code])
    advice = load_toml("claim_measures")["advice"]
    return str(words["own"] if statement.measure in advice else words["laboratory"])


def settle_sides(statement: Statement, verdict: str, single: bool) -> str:
    """Return what would settle how two sides of beds stand."""
    words = load_toml("claim_settle")["sides"]
    text = str(words["single" if single else verdict if verdict in words else "more"])
    return f"{text} {CONTROLS}" if statement.cause and not single else text


def settle_change(
    statement: Statement,
    scope: Scope,
    change: Change,
    targets: Sequence[Target],
    evidence: Evidence,
    verdict: str,
    codes: Collection[str],
) -> str:
    """Return what would settle a statement about a change: nothing more, a second look, or years of tests."""
    words = load_toml("claim_settle")["change"]
    if verdict in words:
        text = str(words[verdict])
    elif "chosen-because-low" in codes:
        text = str(words["chosen"])
    elif statement.against_controls:
        text = str(load_toml("claim_settle")["sides"]["more"])
    else:
        text = _years(statement, scope, change, targets, evidence)
    wants_controls = statement.cause and verdict != "contradicted" and "compared" not in codes
    return f"{text} {CONTROLS}" if wants_controls else text


def _years(
    statement: Statement, scope: Scope, change: Change, targets: Sequence[Target], evidence: Evidence
) -> str:
    """Say from which test on a change of the claimed size would show, tested as before."""
    days = _days(change, evidence)
    own = own_measurement(scope.rows)
    alike = "measured in the same way" if own else "at the same laboratory, month and depth"
    fraction, named = _fraction(statement, change, targets)
    if not days or fraction is None:
        return f"Test again every year, {alike}."
    year = testable_year(change.trend, fraction, days, per_year=statement.per_year)
    more = sum(day.year <= year for day in days) if year else 0
    if year is None:
        return f"Even {len(days)} more yearly tests would not usually show a true {named}: test more beds."
    if more == 0:
        return (
            f"These {change.trend.n} tests would usually show a true {named}, had it come. One more, "
            f"{alike}, narrows the interval."
        )
    tests = "one more yearly test" if more == 1 else f"{more} more yearly tests"
    return f"A true {named} would usually show from {year} on: after {tests}, {alike}."


def _days(change: Change, evidence: Evidence) -> tuple[date, ...]:
    """Return the days of the next yearly tests; the grower's own measurements keep their own day."""
    furthest = int(load_toml("planning")["horizons"]["furthest"])
    last = change.trend.last_on
    if last is None:
        return ()
    visit = next_visit(evidence.observations, evidence.garden, evidence.noise, evidence.today)
    if visit is None or change.trend.method == "own_measurement":
        day = min(last.day, 28)
        first = max(last.year + 1, evidence.today.year)
        return tuple(date(first + later, last.month, day) for later in range(furthest))
    return future_visits(visit, furthest)


def _fraction(statement: Statement, change: Change, targets: Sequence[Target]) -> tuple[float | None, str]:
    """Return the claimed change as planning counts it (a share, or raw units), and what to call it."""
    sign = -1 if statement.direction == "down" else 1
    trend = change.trend
    if targets:
        target = min(targets, key=lambda t: t.size)
        size = target.size * sign
        share = size if target.mode == "share" else size / change.start if change.start else None
        said = amount(target.size, target.mode, change.unit, sign)
        if statement.per_year:
            said += " a year"
        raw = size * change.start if target.mode == "share" else size
        fraction = share if trend.scale == "log" else raw
        usable = fraction is not None and fraction > -1 and fraction != 0
        return (fraction if usable else None), f"change of {said}"
    example = float(load_toml("claim_settle")["example"]["log"])
    raw = float(load_toml("claim_limits")["same"].get(trend.unit, load_toml("claim_limits")["same"]["raw"]))
    if trend.scale == "log":
        return sign * example, f"change of {amount(example, 'share', change.unit, sign)}"
    return sign * raw, f"change of {amount(raw, 'absolute', change.unit, sign)}"
