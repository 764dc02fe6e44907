"""One function per command: the library's front door, and the only room that knows the whole sentence."""

from soiltrend.pipeline.outputs import draw_card, summary, write_demo, write_report, write_sheet
from soiltrend.pipeline.reading import (
    ReadFiles,
    draw_explanation,
    explanation_records,
    file_report,
    observation_records,
    propose,
    read_files,
)
from soiltrend.pipeline.rows import (
    balance_records,
    check_claims,
    claim_records,
    comparison_records,
    dose_records,
    finding_records,
    plan_records,
    trend_records,
)
from soiltrend.pipeline.study import Study

__all__ = [
    "ReadFiles",
    "Study",
    "balance_records",
    "check_claims",
    "claim_records",
    "comparison_records",
    "dose_records",
    "draw_card",
    "draw_explanation",
    "explanation_records",
    "file_report",
    "finding_records",
    "observation_records",
    "plan_records",
    "propose",
    "read_files",
    "summary",
    "trend_records",
    "write_demo",
    "write_report",
    "write_sheet",
]
