"""One statement against the records: the verdict and its reasons, in the order of the gates."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from soiltrend.claims import gates
from soiltrend.claims.beside import Beside
from soiltrend.claims.change import Change, find_change, with_slope_level
from soiltrend.claims.effects import limits_of_measure, published
from soiltrend.claims.evidence import Evidence
from soiltrend.claims.gates import Verdict
from soiltrend.claims.scope import Reason, Scope, find_scope
from soiltrend.claims.settle import settle_change, settle_sides, settle_untested
from soiltrend.claims.standing import judge_standing, numbers_of_sides
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import Target, find_targets, in_series_unit, observed
from soiltrend.claims.words import amount, level_text, pair, years_text
from soiltrend.data import load_toml

EQUIVALENCE_LEVEL = 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A statement and what the records say to it; without ``change`` it could not be tested."""

    claim: str
    statement: Statement
    verdict: Verdict
    reasons: tuple[Reason, ...]
    numbers: dict[str, Any] = field(default_factory=dict)
    change: Change | None = None
    scope: Scope | None = None
    sides: Beside | None = None
    settle: str = ""


def judge(
    statement: Statement,
    evidence: Evidence,
    beds: tuple[str, ...] = (),
    since: date | None = None,
    until: date | None = None,
) -> Judged:
    """Return the verdict on one statement. ``beds``, ``since`` and ``until`` are those of claims.csv."""
    scope = find_scope(statement, evidence, beds)
    if isinstance(scope, Reason):
        return _untestable(statement, scope)
    if statement.against_controls and statement.by_level:
        return _standing(statement, scope, evidence, since, until)
    change = find_change(statement, scope, evidence, since, until)
    if isinstance(change, Reason):
        return _untestable(statement, change, scope)
    targets = find_targets(statement, change)
    if isinstance(targets, Reason):
        return _untestable(statement, targets, scope)
    verdict, reasons = _by_interval(statement, change, targets)
    if _says_nothing_of_change(statement, targets):
        return _untestable(statement, _no_direction(), scope)
    case = gates.Case(statement, scope, change, targets, evidence)
    verdict, reasons = _through_gates(case, verdict, reasons)
    verdict, reasons = _with_published(statement, verdict, reasons)
    return Judged(
        claim=statement.text,
        statement=statement,
        verdict=verdict,
        reasons=tuple(reasons),
        numbers=numbers_of(scope, change, targets),
        change=change,
        scope=scope,
        settle=settle_change(
            statement, scope, change, targets, evidence, verdict, {reason.code for reason in reasons}
        ),
    )


def _standing(
    statement: Statement, scope: Scope, evidence: Evidence, since: date | None, until: date | None
) -> Judged:
    """'Have more than the others' is judged on the two sides' levels, not on how one of them moved."""
    since = since or (date(statement.since, 1, 1) if statement.since else None)
    until = until or (date(statement.until, 12, 31) if statement.until else None)
    found = judge_standing(statement, scope, evidence, since, until)
    if found.sides is None:
        return _untestable(statement, found.reasons[0], scope)
    verdict, reasons = _with_published(statement, found.verdict, list(found.reasons))
    return Judged(
        claim=statement.text,
        statement=statement,
        verdict=verdict,
        reasons=tuple(reasons),
        numbers=numbers_of_sides(found.sides),
        scope=scope,
        sides=found.sides,
        settle=settle_sides(statement, verdict, found.sides.single),
    )


def _says_nothing_of_change(statement: Statement, targets: tuple[Target, ...]) -> bool:
    return statement.direction is None and not targets and statement.level_to is None


def _no_direction() -> Reason:
    return Reason(
        "no-direction", "The sentence names a measurement but does not say which way or how far it moved."
    )


def _untestable(statement: Statement, reason: Reason, scope: Scope | None = None) -> Judged:
    told = [found for _, found in published(statement)]
    return Judged(
        claim=statement.text,
        statement=statement,
        verdict="untestable",
        reasons=(reason, *told),
        scope=scope,
        settle=settle_untested(statement, reason),
    )


def _with_published(
    statement: Statement, verdict: Verdict, reasons: list[Reason]
) -> tuple[Verdict, list[Reason]]:
    """Add what a number cannot say and what trials found, after what the records say."""
    reasons = reasons + limits_of_measure(statement)
    for best, reason in published(statement):
        verdict = min(verdict, best, key=lambda v: gates.RANK[v])
        reasons.append(reason)
    return verdict, reasons


def _by_interval(
    statement: Statement, change: Change, targets: tuple[Target, ...]
) -> tuple[Verdict, list[Reason]]:
    """Return what the interval alone says; of two meanings of '%' the one that the records carry less."""
    if statement.direction == "none":
        return _no_change(statement, change)
    if targets:
        outcomes = [_against(statement, change, target) for target in targets]
        worst = min(outcomes, key=lambda outcome: gates.RANK[outcome[0]])
        if len(targets) > 1 and len({verdict for verdict, _ in outcomes}) > 1:
            worst[1].append(_two_meanings(targets))
        if statement.level_to is not None and statement.level_from is None:
            worst = min(worst, _level(statement, change), key=lambda outcome: gates.RANK[outcome[0]])
        return worst
    if statement.level_to is not None:
        found = _level(statement, change)
        if statement.direction is None:
            return found
        moved = _direction(statement, change)
        verdict = min(found[0], moved[0], key=lambda v: gates.RANK[v])
        return verdict, found[1] + moved[1]
    return _direction(statement, change)


def _sign(statement: Statement) -> int:
    return -1 if statement.direction == "down" else 1


def _against(statement: Statement, change: Change, target: Target) -> tuple[Verdict, list[Reason]]:
    low, _, high = observed(change, target.mode, _sign(statement))
    claimed = target.size
    said = _interval_reason(statement, change, target, low, high)
    if statement.comparator == "at-most":
        verdict: Verdict = "supported" if high <= claimed and low > 0 else "unproven"
        verdict = "contradicted" if low > claimed or high < 0 else verdict
    elif low >= claimed or _close(statement, claimed, low, high):
        verdict = "supported"
    else:
        verdict = "contradicted" if high < claimed else "unproven"
    return (_denied(verdict) if statement.negated else verdict), [said]


def _close(statement: Statement, claimed: float, low: float, high: float) -> bool:
    """Whether 'about X' is carried: the whole interval lies near X."""
    near = float(load_toml("claim_limits")["about"]["share"])
    return statement.comparator == "about" and claimed * (1 - near) <= low and high <= claimed * (1 + near)


def _denied(verdict: Verdict) -> Verdict:
    opposite: dict[Verdict, Verdict] = {"supported": "contradicted", "contradicted": "supported"}
    return opposite.get(verdict, verdict)


def _interval_reason(statement: Statement, change: Change, target: Target, low: float, high: float) -> Reason:
    shown = pair(low, high, target.mode, change.unit, _sign(statement))
    claimed = amount(target.size, target.mode, change.unit, _sign(statement))
    span = "a year" if statement.per_year else f"over {years_text(change.years)}"
    if low >= target.size:
        code, verb = "interval-beyond-claim", "all of it is as much as claimed or more"
    elif high < target.size:
        code, verb = "claim-ruled-out", f"the claimed {claimed} is ruled out if the report noise is as stated"
    elif low > 0:
        code, verb = "shown-but-not-that-much", f"a change is shown, and {claimed} fits, but so does less"
    else:
        code, verb = "cannot-tell", f"both no change and {claimed} fit these reports"
    return Reason(code, f"The reports put the change {span} between {shown}: {verb}.")


def _two_meanings(targets: tuple[Target, ...]) -> Reason:
    meant = " or ".join(target.words for target in targets)
    return Reason("two-meanings", f"“%” can mean {meant}; the one that the records carry less was judged.")


def _direction(statement: Statement, change: Change) -> tuple[Verdict, list[Reason]]:
    mode: Literal["share", "absolute"] = "share" if change.on_log else "absolute"
    low, _, high = observed(change, mode, _sign(statement))
    shown = pair(low, high, mode, change.unit, _sign(statement))
    way = "fall" if statement.direction == "down" else "rise"
    text = f"The reports put the change over {years_text(change.years)} between {shown}"
    if low > 0:
        found: tuple[Verdict, Reason] = "supported", Reason("change-shown", f"{text}: a {way} is shown.")
    elif high < 0:
        found = "contradicted", Reason("opposite-shown", f"{text}: the opposite of a {way} is shown.")
    else:
        found = "unproven", Reason("cannot-tell", f"{text}: a {way} is not shown and not ruled out.")
    verdict, reason = found
    if not statement.negated:
        return verdict, [reason]
    if verdict == "unproven" and high < margin(change):
        return "supported", [Reason("no-rise-shown", f"{text}: no {way} that would matter fits.")]
    return _denied(verdict), [reason]


def margin(change: Change) -> float:
    """Return the change below which two levels count as the same: a share on the log scale, else in units."""
    limits = load_toml("claim_limits")["same"]
    return float(limits["log"] if change.on_log else limits.get(change.trend.unit, limits["raw"]))


def _no_change(statement: Statement, change: Change) -> tuple[Verdict, list[Reason]]:
    """Grant 'stayed the same' only where a change that matters is ruled out (two one-sided tests)."""
    mode: Literal["share", "absolute"] = "share" if change.on_log else "absolute"
    low, _, high = observed(with_slope_level(change, EQUIVALENCE_LEVEL), mode, 1)
    wide_low, _, wide_high = observed(change, mode, 1)
    most = max(abs(low), abs(high))
    limit = margin(change)
    size = amount(most, mode, change.unit, 1).lstrip("+")
    verdict: Verdict = "unproven"
    text = f"These reports only rule out changes larger than {size}; that is not the same as no change."
    if most <= limit:
        verdict, text = "supported", f"No change larger than {size} fits these reports."
    elif wide_low > 0 or wide_high < 0:
        way = "rise" if wide_low > 0 else "fall"
        verdict, text = (
            "contradicted",
            f"A {way} is shown: {pair(wide_low, wide_high, mode, change.unit, 1)}.",
        )
    return (_denied(verdict) if statement.negated else verdict), [Reason("equivalence", text)]


def _level(statement: Statement, change: Change) -> tuple[Verdict, list[Reason]]:
    """'Is close to 6 %': the level of the line at the last report, with its interval."""
    said = in_series_unit(float(statement.level_to or 0), statement, change, difference=False)
    point = change.trend.points[-1]
    if isinstance(said, Reason) or point.low is None or point.high is None:
        return "untestable", [said if isinstance(said, Reason) else Reason("no-level", "No level is fitted.")]
    text = f"The level at the last report lies between {level_text(point.low, point.high, change.unit)}"
    if statement.comparator == "at-least" or (statement.direction == "up" and said < point.low):
        inside = said <= point.low
    else:
        near = float(load_toml("claim_limits")["level"]["share"])
        inside = point.low <= said <= point.high and (point.high - point.low) / 2 <= near * said
    if inside:
        return "supported", [Reason("level-fits", f"{text}.")]
    if said > point.high or said < point.low:
        return "contradicted", [Reason("level-ruled-out", f"{text}: {said:g} is outside.")]
    return "unproven", [Reason("level-unsure", f"{text}: too wide to say {said:g}.")]


def _through_gates(case: gates.Case, verdict: Verdict, reasons: list[Reason]) -> tuple[Verdict, list[Reason]]:
    """Pass the verdict of the interval through every gate: a gate may lower it, none raises it."""
    for gate in gates.GATES:
        for capped, reason in gate(case):
            if case.statement.negated and capped == "unbelievable":
                continue  # denying an unbelievable change is not itself unbelievable
            if gates.RANK[capped] < gates.RANK[verdict]:
                verdict = capped
            if reason.code not in {told.code for told in reasons}:
                reasons.append(reason)
    return verdict, reasons


def numbers_of(scope: Scope, change: Change, targets: tuple[Target, ...]) -> dict[str, Any]:
    """Return the numbers on which a verdict rests, in the unit of the series."""
    trend = change.trend
    return {
        "beds": list(scope.beds),
        "analyte": scope.analyte,
        "unit": trend.unit,
        "n": trend.n,
        "first_on": trend.first_on,
        "last_on": trend.last_on,
        "years": round(change.years, 3),
        "change": change.total(change.middle),
        "change_low": change.total(change.low),
        "change_high": change.total(change.high),
        "times": change.ratio(change.middle) if change.on_log else None,
        "times_low": change.ratio(change.low) if change.on_log else None,
        "times_high": change.ratio(change.high) if change.on_log else None,
        "claimed": [{"mode": t.mode, "size": t.size} for t in targets],
        "smallest_detectable": trend.smallest_detectable,
        "stretches_looked_at": change.looks,
    }
