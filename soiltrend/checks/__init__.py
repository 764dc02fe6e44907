"""Everything that is hard to believe: small checks, evidence in, findings out."""

from collections.abc import Callable, Iterable

from soiltrend.checks.applied import char_counted, more_than_applied
from soiltrend.checks.cations import cations_do_not_add_up
from soiltrend.checks.changes import depth_changed, lab_changed, method_changed, season_changed, too_few_years
from soiltrend.checks.copies import repeated_values
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding, Severity
from soiltrend.checks.pace import faster_than_documented
from soiltrend.checks.panels import natural
from soiltrend.checks.selection import chosen_because_low
from soiltrend.checks.steps import jump_beyond_noise, unit_mixup, whole_report_shifted
from soiltrend.checks.swaps import samples_swapped
from soiltrend.checks.values import impossible_value

__all__ = ["CHECKS", "Cause", "Evidence", "Finding", "Severity", "run_checks"]

Check = Callable[[Evidence], Iterable[Finding]]

# The ladder of belief: possible at all, the same quantity, the same bed, more than noise, more than the
# laboratory, more than was put on, faster than documented, picked because it was poor.
CHECKS: tuple[Check, ...] = (
    impossible_value,
    cations_do_not_add_up,
    unit_mixup,
    method_changed,
    lab_changed,
    depth_changed,
    season_changed,
    samples_swapped,
    repeated_values,
    jump_beyond_noise,
    whole_report_shifted,
    more_than_applied,
    faster_than_documented,
    char_counted,
    chosen_because_low,
    too_few_years,
)

SEVERITIES = ("unbelievable", "doubtful", "note")
# A sample that is another bed's, or a copy of another row, explains every jump of its own values.
WHOLE_SAMPLE = ("samples-swapped", "repeated-values")
RISES = ("more-than-applied", "faster-than-documented")
EXPLAINED = ("jump-beyond-noise", "unit-mixup")


def run_checks(evidence: Evidence) -> list[Finding]:
    """Return all findings, the worst first, then by bed; findings about all beds lead their severity.

    Parameters
    ----------
    evidence : Evidence
        Records, long table, trends, noise and balance of one garden.
    """
    if evidence.observations.empty:
        return []
    found = [finding for check in CHECKS for finding in check(evidence)]
    return sorted(_without_consequences(found), key=_rank)


def _rank(finding: Finding) -> tuple[int, bool, list[tuple[int, int, str]]]:
    return SEVERITIES.index(finding.severity), finding.bed is not None, natural(finding.bed or "")


def _without_consequences(found: list[Finding]) -> list[Finding]:
    """Leave out jumps of a sample that is a copy or another bed's: they are that finding over again."""
    covered = {place for f in found if f.code in WHOLE_SAMPLE for place in f.observations}
    risen = {(f.bed, f.analyte) for f in found if f.code in RISES}
    return [
        f
        for f in found
        if f.code not in EXPLAINED
        or f.bed is None
        or not (
            covered.issuperset(f.observations)
            or (f.code == "jump-beyond-noise" and (f.bed, f.analyte) in risen)
        )
    ]
