"""Jumps of one bed, shifts of a whole report, and the unit mix-ups behind either."""

from collections import defaultdict
from collections.abc import Iterable

from soiltrend.checks.departed import Departed, departed, half
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Finding
from soiltrend.checks.telling import finding, merged


def unit_mixup(evidence: Evidence) -> Iterable[Finding]:
    """Find values, or whole reports, off by a factor between two units or forms."""
    yield from _one_per_report([d for d in departed(evidence) if d.unit], evidence, "unit-mixup")


def jump_beyond_noise(evidence: Evidence) -> Iterable[Finding]:
    """Find beds that moved further than noise makes anywhere in this garden, and not by a unit's factor."""
    for found in departed(evidence):
        if found.bed is None or found.unit or found.belief("steady-change") > half():
            continue
        explained = found.belief("put-on") > half()
        severity = "note" if explained else found.severity
        yield finding(found, evidence, "jump-beyond-noise", severity)


def whole_report_shifted(evidence: Evidence) -> Iterable[Finding]:
    """Find reports in which all beds moved together."""
    whole = [d for d in departed(evidence) if d.bed is None and not d.unit]
    steady = [d for d in whole if d.belief("steady-change") <= half()]
    yield from _one_per_report(steady, evidence, "whole-report-shifted")


def _one_per_report(found: Iterable[Departed], evidence: Evidence, code: str) -> Iterable[Finding]:
    """Yield a finding per bed and analyte, and one per report for analytes that moved for one reason."""
    groups: dict[tuple[object, ...], list[Finding]] = defaultdict(list)
    for one in found:
        key = (one.bed, one.round, one.anomaly.kind, one.unit)
        groups[key].append(finding(one, evidence, code, one.severity))
    for group in groups.values():
        yield merged(group)
