"""What the interval of a change, or of a level, says to a statement before any gate is asked."""

from __future__ import annotations

from typing import Literal

from soiltrend.claims import gates
from soiltrend.claims.change import Change, with_slope_level
from soiltrend.claims.gates import Verdict
from soiltrend.claims.scope import Reason
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import Target, in_series_unit, observed
from soiltrend.claims.words import amount, level_text, pair, years_text
from soiltrend.data import load_toml

EQUIVALENCE_LEVEL = 0.90


def by_interval(
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
        if statement.negated:  # 'is not above 5 %', 'did not rise to 5 %' deny the level
            return _denied(found[0]), found[1]
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
    if statement.comparator == "at-most":
        inside = point.high <= said
    elif statement.comparator == "at-least" or (statement.direction == "up" and said < point.low):
        inside = said <= point.low
    else:
        near = float(load_toml("claim_limits")["level"]["share"])
        inside = point.low <= said <= point.high and (point.high - point.low) / 2 <= near * said
    if inside:
        return "supported", [Reason("level-fits", f"{text}.")]
    outside = said > point.high or said < point.low
    if outside and not (statement.comparator == "at-most" and said > point.high):
        return "contradicted", [Reason("level-ruled-out", f"{text}: {said:g} is outside.")]
    return "unproven", [Reason("level-unsure", f"{text}: too wide to say {said:g}.")]
