"""One statement against the records: the verdict and its reasons, in the order of the gates."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from soiltrend.claims import gates
from soiltrend.claims.beside import Beside
from soiltrend.claims.change import Change, find_change, made_by
from soiltrend.claims.effects import limits_of_measure, published
from soiltrend.claims.evidence import Evidence
from soiltrend.claims.gates import Verdict
from soiltrend.claims.interval import by_interval
from soiltrend.claims.scope import Reason, Scope, find_scope
from soiltrend.claims.settle import settle_change, settle_sides, settle_untested
from soiltrend.claims.standing import judge_standing, numbers_of_sides
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import Target, find_targets


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
    verdict, reasons = by_interval(statement, change, targets)
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


def _through_gates(case: gates.Case, verdict: Verdict, reasons: list[Reason]) -> tuple[Verdict, list[Reason]]:
    """Pass the verdict of the interval through every gate: a gate may lower it, none raises it."""
    for gate in gates.GATES:
        for capped, reason in gate(case):
            if case.statement.negated and capped == "unbelievable":
                continue  # denying an unbelievable change is not itself unbelievable
            if gates.RANK[capped] < gates.RANK[verdict]:
                verdict = capped
            reasons = [told for told in reasons if told.code != reason.code]
            reasons.append(reason)
    return verdict, reasons


def numbers_of(scope: Scope, change: Change, targets: tuple[Target, ...]) -> dict[str, Any]:
    """Return the numbers on which a verdict rests, in the unit of the series."""
    trend = change.trend
    labs, methods = made_by(change, scope)
    return {
        "beds": list(scope.beds),
        "analyte": scope.analyte,
        "unit": trend.unit,
        "unit_shown": change.unit,
        "labs": labs,
        "methods": methods,
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
