"""One function per command: the library's front door, and the only room that knows the whole sentence."""

from soiltrend.pipeline.adding import file_report, propose
from soiltrend.pipeline.outputs import check_card, draw_card, summary, write_demo, write_report, write_sheet
from soiltrend.pipeline.reading import (
    ReadFiles,
    draw_explanation,
    explanation_records,
    observation_records,
    read_files,
)
from soiltrend.pipeline.rows import (
    Rows,
    balance_records,
    check_claims,
    claim_records,
    comparison_records,
    dose_records,
    finding_records,
    plan_records,
    read_rows,
    trend_records,
)
from soiltrend.pipeline.study import Study

__all__ = [
    "ReadFiles",
    "Rows",
    "Study",
    "balance_records",
    "check_card",
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
    "read_rows",
    "summary",
    "trend_records",
    "write_demo",
    "write_report",
    "write_sheet",
]
