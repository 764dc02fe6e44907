"""The rows that each command prints: a list of JSON objects, and which of their keys a table shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from soiltrend.errors import SoiltrendError
from soiltrend.pipeline.study import Study

if TYPE_CHECKING:
    from soiltrend.claims import Judged

Records = tuple[list[dict[str, Any]], Sequence[str]]

COMPARE_COLUMNS = (
    "analyte", "unit", "group", "reference", "beds", "reference_beds", "difference_per_year", "ci_low",
    "ci_high", "ci_level", "p_value", "estimator", "verdict",
)  # fmt: skip
CHECK_COLUMNS = (
    "code", "severity", "bed", "analyte", "observations", "text", "numbers", "causes", "next_step",
)  # fmt: skip


def trend_records(study: Study) -> Records:
    """Return one row per bed and analyte."""
    from soiltrend.trends import KEYS, to_records

    return to_records(study.trends), KEYS


def comparison_records(study: Study) -> Records:
    """Return one row per treatment and analyte, and per bed where there are enough beds."""
    return [comparison.record() for comparison in study.comparisons], COMPARE_COLUMNS


def finding_records(study: Study) -> Records:
    """Return one row per finding, the worst first."""
    return [asdict(finding) for finding in study.findings], CHECK_COLUMNS


def balance_records(study: Study) -> Records:
    """Return what was put on per bed and year, then the largest change per bed and analyte."""
    from soiltrend.balance import COLUMNS, to_records

    return to_records(study.balance, study.trends), COLUMNS


def plan_records(study: Study) -> Records:
    """Return what next year's and later tests can show, per bed and analyte."""
    from soiltrend.planning import COLUMNS, to_records

    return to_records(study.plan), COLUMNS


def check_claims(study: Study, texts: Sequence[str]) -> list[Judged]:
    """Return a verdict on each statement of ``texts``, or of claims.csv where there are none.

    Raises
    ------
    SoiltrendError
        There is no statement at all, or one that cannot be read.
    """
    from soiltrend.claims import check_claim

    if texts:
        return [judged for text in texts for judged in check_claim(text, study.evidence)]
    rows = study.garden.claims
    if not rows:
        raise SoiltrendError(
            f"{study.folder}: claims.csv holds no statement. Write one there, or give a sentence in "
            "quotation marks."
        )
    return [
        judged
        for row in rows
        for judged in check_claim(row.claim, study.evidence, row.beds, row.since, row.until)
    ]


def claim_records(judged: list[Judged]) -> Records:
    """Return one JSON object per statement."""
    from soiltrend.claims import to_records

    return to_records(judged), ("claim", "verdict", "reasons", "say_instead", "to_settle")


def dose_records(
    study: Study,
    material: str,
    rate: str,
    *,
    beds: Sequence[str] = (),
    containers: str | None = None,
    mixed_to: str | None = None,
) -> tuple[list[dict[str, Any]], Sequence[str], Sequence[str]]:
    """Return what a dose needs, carries and could change, and the cautions that go with its materials."""
    from soiltrend.balance.dose import COLUMNS, dose

    planned = dose(
        study.garden,
        material,
        rate,
        beds=beds,
        containers=containers,
        mixed_to=mixed_to,
        trends=study.trends,
        today=study.today,
    )
    return planned.records(), COLUMNS, planned.cautions
