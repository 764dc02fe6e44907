"""The rows that each command prints: a list of JSON objects, and which of their keys a table shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from soiltrend.errors import SoiltrendError
from soiltrend.pipeline import views
from soiltrend.pipeline.reading import ReadFiles, explanation_records, observation_records
from soiltrend.pipeline.study import Study
from soiltrend.pipeline.views import Block

if TYPE_CHECKING:
    from soiltrend.claims import Judged


@dataclass(frozen=True)
class Rows:
    """What a command prints: the data with their columns, and how a person at a terminal sees them."""

    records: list[dict[str, Any]]
    columns: Sequence[str]
    view: list[dict[str, Any]] | None = None
    blocks: list[Block] | None = None


COMPARE_COLUMNS = (
    "analyte", "unit", "group", "reference", "beds", "reference_beds", "difference_per_year", "ci_low",
    "ci_high", "ci_level", "p_value", "estimator", "verdict",
)  # fmt: skip
CHECK_COLUMNS = (
    "code", "severity", "bed", "analyte", "observations", "text", "numbers", "causes", "next_step",
)  # fmt: skip


def read_rows(result: ReadFiles, *, explain: bool = False) -> Rows:
    """Return the long table of what was read, or with ``explain`` why each number was taken or left."""
    if explain:
        records, columns = explanation_records(result)
        return Rows(records, columns, view=views.explanation_view(records))
    records, columns = observation_records(result.observations)
    return Rows(records, columns, view=views.observation_view(records))


def trend_records(study: Study) -> Rows:
    """Return one row per bed and analyte."""
    from soiltrend.trends import KEYS, to_records

    records = to_records(study.trends)
    return Rows(records, KEYS, view=views.trends_view(records))


def comparison_records(study: Study) -> Rows:
    """Return one row per treatment and analyte, and per bed where there are enough beds."""
    records = [comparison.record() for comparison in study.comparisons]
    return Rows(records, COMPARE_COLUMNS, view=views.comparison_view(records))


def finding_records(study: Study) -> Rows:
    """Return one row per finding, the worst first."""
    records = [asdict(finding) for finding in study.findings]
    return Rows(records, CHECK_COLUMNS, blocks=views.finding_blocks(records))


def balance_records(study: Study) -> Rows:
    """Return what was put on per bed and year, then the largest change per bed and analyte."""
    from soiltrend.balance import COLUMNS, to_records

    records = to_records(study.balance, study.trends)
    return Rows(records, COLUMNS, view=views.balance_view(records, study.garden.units))


def plan_records(study: Study) -> Rows:
    """Return what next year's and later tests can show, per bed and analyte."""
    from soiltrend.planning import COLUMNS, to_records

    records = to_records(study.plan)
    return Rows(records, COLUMNS, view=views.plan_view(records))


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


def claim_records(judged: list[Judged]) -> Rows:
    """Return one JSON object per statement."""
    from soiltrend.claims import to_records

    records = to_records(judged)
    columns = ("claim", "verdict", "reasons", "say_instead", "to_settle")
    return Rows(records, columns, blocks=views.claim_blocks(records))


def dose_records(
    study: Study,
    material: str,
    rate: str,
    *,
    beds: Sequence[str] = (),
    containers: str | None = None,
    mixed_to: str | None = None,
) -> tuple[Rows, Sequence[str]]:
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
    records = planned.records()
    return Rows(records, COLUMNS, view=views.dose_view(records)), planned.cautions
