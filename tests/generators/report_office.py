"""Reports that LibreOffice converts: sheets to PDF, xlsx to xls and ods, web pages to PDF."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.generators.report_chromium import rows_html
from tests.generators.report_common import Bag, Made, Row, bags, report
from tests.generators.report_sheets import HEADS, KEYS
from tests.generators.report_sheets import hidden as hidden_sheet
from tests.generators.report_sheets import merged as merged_sheet
from tests.generators.report_sheets import percents as percent_sheet
from tests.generators.report_sheets import plain as plain_sheet
from tests.generators.report_sheets import years as years_sheet


def converted(content: bytes, ending: str, target: str) -> bytes:
    """Return ``content`` (a file of this ending) as LibreOffice writes it in another format."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, f"report{ending}")
        source.write_bytes(content)
        subprocess.run(
            ["/usr/bin/soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", target,
             "--outdir", folder, str(source)],
            check=True, capture_output=True, timeout=180,
        )  # fmt: skip
        return Path(folder, f"report.{target.partition(':')[0]}").read_bytes()


def _as(made: Made, ending: str, target: str) -> Made:
    return converted(made[0], ending, target), made[1]


@report("sheet-xls/plain.xls")
def plain_xls() -> Made:
    return _as(plain_sheet(), ".xlsx", "xls")


@report("sheet-xls/merged-groups.xls")
def merged_xls() -> Made:
    return _as(merged_sheet(), ".xlsx", "xls")


@report("sheet-ods/merged-groups.ods")
def merged_ods() -> Made:
    return _as(merged_sheet(), ".xlsx", "ods")


@report("sheet-ods/percents.ods")
def percent_ods() -> Made:
    return _as(percent_sheet(), ".xlsx", "ods")


@report("sheet-ods/hidden.ods")
def hidden_ods() -> Made:
    return _as(hidden_sheet(), ".xlsx", "ods")


@report("sheet-xls/years.xls")
def years_xls() -> Made:
    return _as(years_sheet(), ".xlsx", "xls")


@report("pdf-office/sheet-printed.pdf")
def sheet_pdf() -> Made:
    return _as(plain_sheet(), ".xlsx", "pdf")


@report("pdf-office/merged-sheet-printed.pdf")
def merged_pdf() -> Made:
    return _as(merged_sheet(), ".xlsx", "pdf")


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


@report("pdf-office/document.pdf")
def document() -> Made:
    found = bags(
        ["Strip 1", "Strip 2"],
        "officedoc",
        sampled_on="2022-02-08",
        basis="sampled",
    )
    table = f"<table border=1 cellpadding=4>{rows_html([['Sample', *HEADS]])}{rows_html([[b.name, *(b.values[k] for k in KEYS)] for b in found])}</table>"
    page = f"<html><head><meta charset=utf-8></head><body><p>Soil analysis</p><p>Date sampled: 8 February 2022</p>{table}</body></html>"
    return converted(page.encode(), ".html", "pdf:writer_web_pdf_Export"), _all(found, KEYS)
