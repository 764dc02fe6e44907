"""The verdict on how one side of beds stands beside another."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from soiltrend.claims.beside import Beside, Mode, beside
from soiltrend.claims.evidence import Evidence
from soiltrend.claims.gates import BEDS_FOR_A_CAUSE, RANK, Verdict
from soiltrend.claims.scope import Reason, Scope
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import in_unit
from soiltrend.claims.words import amount, counted_days, first_sentence, pair
from soiltrend.data import load_toml
from soiltrend.trends.words import analyte_name


@dataclass(frozen=True, slots=True)
class Standing:
    """A verdict on two sides, its reasons and the numbers; ``sides`` is None where nothing compares."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    sides: Beside | None = None


def judge_standing(
    statement: Statement, scope: Scope, evidence: Evidence, since: date | None, until: date | None
) -> Standing:
    """Return the verdict on 'more than the others', by the difference of the two sides' levels."""
    if statement.level_to is not None:
        text = "The sentence gives a level and compares two sides: say one of the two at a time."
        return Standing("untestable", (Reason("level-and-sides", text),))
    found = [_one(statement, scope, evidence, mode, (since, until)) for mode in _modes(statement, scope)]
    worst = min(found, key=lambda standing: RANK[standing.verdict])
    if worst.sides is None:
        return worst
    verdict, reasons = worst.verdict, list(worst.reasons)
    for cap, reason in [*_doubts(worst.sides, evidence), *_cause(statement, worst.sides, evidence)]:
        verdict = min(verdict, cap, key=lambda v: RANK[v])
        reasons.append(reason)
    return Standing(verdict, tuple(reasons), worst.sides)


def _modes(statement: Statement, scope: Scope) -> tuple[Mode, ...]:
    """Return how the difference is counted; both ways where '%' of a percentage may mean either."""
    unit = str(scope.rows["unit"].iloc[0])
    if statement.times is not None:
        return ("share",)
    if statement.percent is not None:
        return ("share", "absolute") if unit == "%" and not statement.relative else ("share",)
    if statement.change is not None or unit in load_toml("claim_measures")["differences"]["units"]:
        return ("absolute",)
    return ("share",)


def _one(
    statement: Statement, scope: Scope, evidence: Evidence, mode: Mode, when: tuple[date | None, date | None]
) -> Standing:
    sides = beside(statement, scope, evidence, mode, *when)
    if isinstance(sides, Reason):
        return Standing("untestable", (sides,))
    size = _size(statement, sides)
    if isinstance(size, Reason):
        return Standing("untestable", (size,))
    verdict, text = _verdict(statement, sides, size)
    return Standing(verdict, (Reason("side-by-side", f"{_said(sides)}: {text}."), *_apart(sides)), sides)


def _sign(statement: Statement) -> int:
    return -1 if statement.direction == "down" else 1


def _size(statement: Statement, sides: Beside) -> float | Reason | None:
    """Return the claimed difference in the claimed direction; None where no amount is claimed."""
    if statement.times is not None:
        ratio = statement.times
        ratio = 1 / ratio if statement.direction == "down" and ratio > 1 else ratio
        return (ratio - 1) * _sign(statement)
    if statement.percent is not None:
        return statement.percent / (100 if sides.mode == "share" else 1)
    if statement.change is not None:
        return in_unit(statement.change, statement, sides.unit, sides.analyte, difference=True)
    return None


def _verdict(statement: Statement, sides: Beside, size: float | None) -> tuple[Verdict, str]:
    sign = _sign(statement)
    low, high = sorted((sign * sides.low, sign * sides.high))
    if statement.direction == "none":
        return _alike(statement, sides)
    claimed = 0.0 if size is None else size
    way = "less" if sign < 0 else "more"
    told = f"the claimed {amount(claimed, sides.mode, sides.shown, sign)}" if size is not None else f"{way}"
    verdict: Verdict = "unproven"
    text = f"neither the same nor {told} is ruled out"
    if low > 0 and low >= claimed:
        verdict, text = "supported", f"{told} is shown"
    elif high < claimed or high < 0:
        verdict, text = "contradicted", f"{told} is ruled out"
    if not statement.negated:
        return verdict, text
    if size is None and verdict == "unproven" and high < margin(sides):
        return "supported", f"{amount(margin(sides), sides.mode, sides.shown, sign)} or beyond is ruled out"
    opposite: dict[Verdict, Verdict] = {"supported": "contradicted", "contradicted": "supported"}
    return opposite.get(verdict, verdict), text


def margin(sides: Beside) -> float:
    """Return the difference below which two levels count as the same."""
    limits = load_toml("claim_limits")["same"]
    return float(limits["log"] if sides.mode == "share" else limits.get(sides.unit, limits["raw"]))


def _alike(statement: Statement, sides: Beside) -> tuple[Verdict, str]:
    """Carry 'the same as the others' only where a difference that matters is ruled out."""
    same = max(abs(sides.low), abs(sides.high)) <= margin(sides)
    if sides.low > 0 or sides.high < 0:
        verdict: Verdict = "supported" if statement.negated else "contradicted"
        return verdict, "a difference is shown"
    if same:
        return ("contradicted" if statement.negated else "supported"), "no difference that would matter fits"
    return "unproven", "this is too wide to call them the same"


def _said(sides: Beside) -> str:
    between = pair(sides.low, sides.high, sides.mode, sides.shown, 1)
    name = f"{analyte_name(sides.analyte)}{' per area' if sides.per_area else ''}"
    return (
        f"{counted_days(sides.visits)}, {name} of {sides.label} stood between {between} against that of "
        f"{sides.reference_label}"
    )


def _apart(sides: Beside) -> tuple[Reason, ...]:
    if not sides.single:
        return ()
    text = "One bed against one bed: the difference may be that of the places, whatever was put on them."
    return (Reason("one-bed-a-side", text),)


def _doubts(sides: Beside, evidence: Evidence) -> list[tuple[Verdict, Reason]]:
    """Return doubts about the numbers of these beds; the first two are told."""
    every = {*sides.beds, *sides.reference}
    found = [
        f
        for f in evidence.findings
        if f.severity != "note" and f.analyte == sides.analyte and f.bed is not None and f.bed in every
    ]
    return [("unproven", Reason(f.code, first_sentence(f.text))) for f in found[:2]]


def _cause(statement: Statement, sides: Beside, evidence: Evidence) -> list[tuple[Verdict, Reason]]:
    """Grant a cause only where lot decided which bed got what."""
    if not statement.cause:
        return []
    drawn = {bed.bed for bed in evidence.garden.beds if bed.assigned == "random"}
    enough = min(len(sides.beds), len(sides.reference)) >= BEDS_FOR_A_CAUSE
    if enough and drawn >= {*sides.beds, *sides.reference}:
        text = "The treatments were drawn by lot, so a difference between the sides is theirs."
        return [("supported", Reason("drawn-by-lot", text))]
    why = "the beds were not all drawn by lot" if enough else "too few beds stand on a side"
    text = f"That {statement.cause} did it is not shown: {why}, and they may have differed before."
    return [("unproven", Reason("cause-not-shown", text))]


def numbers_of_sides(sides: Beside) -> dict[str, Any]:
    """Return the numbers on which the verdict rests: shares as fractions, else in the unit."""
    return {
        "beds": list(sides.beds),
        "reference_beds": list(sides.reference),
        "analyte": sides.analyte,
        "unit": sides.unit,
        "unit_shown": sides.shown,
        "n": len(sides.visits),
        "first_on": sides.visits[0],
        "last_on": sides.visits[-1],
        "difference_as": sides.mode,
        "difference": sides.middle,
        "difference_low": sides.low,
        "difference_high": sides.high,
        "per_area": sides.per_area,
    }
