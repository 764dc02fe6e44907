"""What can lower a verdict whatever the interval says, in the order in which it is looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from soiltrend.claims.change import Change, sources_of
from soiltrend.claims.evidence import Evidence
from soiltrend.claims.scope import Reason, Scope
from soiltrend.claims.statement import Statement
from soiltrend.claims.target import Target, observed
from soiltrend.claims.words import break_words, first_sentence
from soiltrend.regression import p_values

if TYPE_CHECKING:
    from soiltrend.checks.finding import Finding
    from soiltrend.comparison import Comparison

RANK = {"untestable": -1, "unbelievable": 0, "contradicted": 0, "unproven": 1, "supported": 2}
ALPHA = 0.05
# Fewer beds a side than this and a difference is that of two places, whatever was put on them.
BEDS_FOR_A_CAUSE = 2

Verdict = Literal["supported", "unproven", "contradicted", "unbelievable", "untestable"]
Outcome = tuple[Verdict, Reason]
Gate = Callable[["Case"], Iterator[Outcome]]


@dataclass(frozen=True, slots=True)
class Case:
    """A statement with everything that a gate may look at."""

    statement: Statement
    scope: Scope
    change: Change
    targets: tuple[Target, ...]
    evidence: Evidence


def _series_breaks(case: Case) -> Iterator[Outcome]:
    """Say where the laboratory, method or layer changed: levels before and after are not compared."""
    if case.change.trend.breaks:
        yield "supported", Reason("not-compared-across", break_words(case.change.trend.breaks))


def _censored(case: Case) -> Iterator[Outcome]:
    if case.change.trend.n_censored:
        trend = case.change.trend
        text = f"{trend.n_censored} of {trend.n} reports gave only a limit, not a number."
        yield "unproven", Reason("limits-only", text)


def _findings(case: Case) -> Iterator[Outcome]:
    """Tell up to three doubts about these very numbers, one of a kind.

    What cannot be believed of one bed makes the claimed mean of several unproven, not unbelievable.
    """
    sources = sources_of(case.change, case.scope)
    doubts = [f for f in case.evidence.findings if f.severity != "note" and _about(f, case.scope, sources)]
    for finding in list({finding.code: finding for finding in reversed(doubts)}.values())[::-1][:3]:
        reason = Reason(finding.code, _told(finding))
        one = finding.bed is None or len(case.scope.beds) == 1
        carried = one and _carried_by(finding, case.statement, case.change, case.targets)
        yield ("unbelievable" if carried else "unproven"), reason


def _told(finding: Finding) -> str:
    """Return the first sentence of a finding; of a rise too fast also the second, which holds the limit."""
    first = first_sentence(finding.text)
    second = first_sentence(finding.text[len(first) :].strip())
    return f"{first} {second}" if finding.code == "faster-than-documented" and second else first


def _about(finding: Finding, scope: Scope, sources: set[str]) -> bool:
    if finding.analyte not in (None, scope.analyte):
        return False
    if finding.bed is not None:
        return finding.bed in scope.beds
    return any(place.split(": ")[0] in sources for place in finding.observations)


def _carried_by(finding: Finding, statement: Statement, change: Change, targets: tuple[Target, ...]) -> bool:
    """Whether the claimed amount is as large as the change that cannot be believed."""
    if finding.severity != "unbelievable" or not targets or statement.comparator == "at-most":
        return False
    sign = -1 if statement.direction == "down" else 1
    return all(target.size >= observed(change, target.mode, sign)[0] > 0 for target in targets)


def _possible(case: Case) -> Iterator[Outcome]:
    """Hold the claimed amount against the most that what was put on could do, with nothing lost."""
    if not case.targets or case.statement.direction == "down" or case.statement.comparator == "at-most":
        return
    limits = [limit for bed in case.scope.beds if (limit := case.evidence.possible(bed, case.change.trend))]
    if not limits or len(limits) < len(case.scope.beds):
        return
    years = case.change.trend.span_years or 1.0
    highest = max(limits, key=lambda limit: limit.most)
    times = years if case.statement.per_year else 1.0
    ends = [_claimed_end(target, case.change, times) for target in case.targets]
    if min(ends) > highest.most:
        yield "unbelievable", Reason("more-than-applied", highest.text)


def _claimed_end(target: Target, change: Change, times: float) -> float:
    size = target.size * times
    return change.start * (1 + size) if target.mode == "share" else change.start + size


def _chosen(case: Case) -> Iterator[Outcome]:
    """Cap what is said of a bed picked for a poor test: it rises on the next by luck alone."""
    because = {b.bed: b.chosen_because for b in case.evidence.garden.beds if b.chosen_because}
    picked = [bed for bed in case.scope.beds if bed in because]
    flagged = [
        f.bed for f in case.evidence.findings if f.code == "chosen-because-low" and f.bed in case.scope.beds
    ]
    if (picked or flagged) and case.statement.direction != "down":
        names = ", ".join(dict.fromkeys([*picked, *(str(bed) for bed in flagged)]))
        yield (
            "unproven",
            Reason(
                "chosen-because-low",
                f"{names} was chosen because of its test: part of a rise after a low test is luck coming "
                "back to the usual level, and these reports cannot take it out.",
            ),
        )


def _multiplicity(case: Case) -> Iterator[Outcome]:
    """Of many series one leans by chance: what is said of one must stand among all that were looked at."""
    sign = {"up": "rising", "down": "falling"}.get(case.statement.direction or "", "")
    if not sign or case.change.low * case.change.high <= 0:
        return
    fit = case.change.trend
    shown = [
        t for t in case.evidence.trends if (t.bed, t.analyte, t.unit) == (fit.bed, fit.analyte, fit.unit)
    ]
    if any(t.verdict == sign for t in shown):
        return
    looked_at = {(t.bed, t.analyte) for t in case.evidence.trends}
    family = max(1, len(looked_at)) if len(case.scope.beds) == 1 else 1
    p = float(p_values(fit.slope_fit or 0.0, fit.se_fit or 0.0, fit.df))
    if p * family * case.change.looks > ALPHA:
        text = f"Among the {family} series of this garden, chance alone can make one lean this much."
        yield "unproven", Reason("one-of-many", text)


def _cause(case: Case) -> Iterator[Outcome]:
    """No cause from before and after alone: beds without the treatment must have moved otherwise."""
    if not case.statement.cause:
        return
    best = _comparison(case.statement, case.scope, case.evidence)
    if best is None:
        text = (
            f"Nothing here shows that {case.statement.cause} did it: there is no comparison with beds "
            "that did not get it."
        )
        yield "unproven", Reason("no-comparison", text)
        return
    wanted = "group-rose-less" if case.statement.direction == "down" else "group-rose-more"
    enough = min(len(best.beds), len(best.reference_beds)) >= BEDS_FOR_A_CAUSE
    if best.verdict == wanted and enough and not best.capped:
        yield "supported", Reason("compared", best.sentence)
    else:
        yield "unproven", Reason("cause-not-shown", best.sentence or "The comparison shows no difference.")


def _comparison(statement: Statement, scope: Scope, evidence: Evidence) -> Comparison | None:
    other = set(statement.reference_beds)
    fitting = [
        c
        for c in evidence.comparisons
        if c.analyte == scope.analyte
        and c.kind == "treatment"
        and set(scope.beds) & set(c.beds)
        and (not other or other == set(c.reference_beds))
    ]
    return fitting[0] if fitting else None


def _against_controls(case: Case) -> Iterator[Outcome]:
    """'More than the unamended beds' is judged on the difference, not on the rise."""
    if not case.statement.against_controls:
        return
    best = _comparison(case.statement, case.scope, case.evidence)
    if best is None:
        text = "The records hold no beds to compare with for this."
        yield "untestable", Reason("no-comparison", text)
        return
    more = case.statement.direction != "down"
    wanted = "group-rose-more" if more else "group-rose-less"
    opposite = "group-rose-less" if more else "group-rose-more"
    verdict: Verdict = "unproven"
    if best.verdict == wanted and not best.capped and _as_much(case, best):
        verdict = "supported"
    elif best.verdict == opposite:
        verdict = "contradicted"
    yield verdict, Reason("compared", best.sentence)


def _as_much(case: Case, best: Comparison) -> bool:
    """Whether the whole interval of the difference is as large as claimed; true where no amount is."""
    sign = -1 if case.statement.direction == "down" else 1
    for target in case.targets:
        ends = (
            (best.percent_low, best.percent_high) if target.mode == "share" else (best.ci_low, best.ci_high)
        )
        known = [sign * end for end in ends if end is not None]
        years = 1.0 if case.statement.per_year else case.change.years
        share = 0.01 if target.mode == "share" else 1.0
        if len(known) < 2 or min(known) * years * share < target.size:
            return False
    return True


# The order of the gates: is it the same quantity → is it measured → was it picked → is it believable → can it
# be → is it one of many → was it this that did it.
GATES: tuple[Gate, ...] = (
    _series_breaks,
    _censored,
    _chosen,
    _findings,
    _possible,
    _multiplicity,
    _cause,
    _against_controls,
)
