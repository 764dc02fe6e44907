"""What the page says about a garden: firm changes, doubts, gaps, all in the grower's units."""

from dataclasses import replace

import pytest

from soiltrend.report import Report, build_model
from soiltrend.report.model import ReportInput
from tests.report.sample import BEDS, empty, many, rich, tiny, with_gaps


@pytest.fixture(scope="module")
def given() -> ReportInput:
    return rich()


@pytest.fixture(scope="module")
def report(given: ReportInput) -> Report:
    return build_model(given)


def beds_of(report: Report, test: str) -> set[str]:
    return {part.link.text for item in report.changed if item.lead.startswith(test) for part in item.parts}


def test_the_summary_counts_what_the_page_rests_on(report: Report) -> None:
    assert report.summary.replace("\u00a0", " ") == (
        "7 reports read, 2019 to 2025: 8 beds, 10 tests, 3 laboratories."
    )


def test_a_doubtful_rise_is_not_among_what_changed(report: Report) -> None:
    assert beds_of(report, "Organic matter") == {"North 2"}
    assert any("South 1" in item.lead for item in report.doubted)


def test_a_rise_by_name_is_told_once_the_doubt_is_gone(given: ReportInput) -> None:
    assert "South 1" in beds_of(build_model(replace(given, findings=[])), "Organic matter")


def test_a_finding_on_a_whole_report_casts_doubt_on_every_series_it_touches(report: Report) -> None:
    doubtful = {
        (row.bed.text, cell.analyte) for row in report.overview.rows for cell in row.cells if cell.doubtful
    }
    assert doubtful == {(bed, "phosphorus") for bed in BEDS} | {("South 1", "organic_matter")}


def test_only_the_readings_that_a_finding_names_are_hollow(report: Report) -> None:
    hollow = [
        (figure.analyte, mark.title[:4])
        for bed in report.beds
        for figure in bed.figures
        if figure.chart
        for mark in figure.chart.marks
        if mark.kind == "hollow"
    ]
    assert sorted(set(hollow)) == [
        ("organic_matter", "2023"),
        ("organic_matter", "2024"),
        ("organic_matter", "2025"),
        ("phosphorus", "2021"),
    ]


def test_causes_are_ranked_and_a_small_share_is_not_nothing(report: Report) -> None:
    shares = [cause.share.replace("\u00a0", " ") for cause in report.findings[0].causes]
    assert shares == ["about 60 %", "about 30 %", "under 1 %"]


def test_notes_of_one_kind_are_one_caution(report: Report) -> None:
    assert [(item.title, len(item.lines)) for item in report.cautions] == [("The method changed", 8)]


def test_every_reading_of_a_finding_leads_to_its_row(report: Report) -> None:
    anchors = {f"#{row.id}" for bed in report.beds for row in bed.rows}
    links = [place.href for finding in report.findings for place in finding.places]
    assert links
    assert set(links) <= anchors


def test_amended_beds_stand_above_unamended_ones(report: Report) -> None:
    groups = [row.group for row in report.sides[0].rows]
    assert groups == ["amended"] * 4 + ["unamended"] * 4 + ["difference"]


def test_zero_is_on_every_scale_of_changes(report: Report) -> None:
    assert all(0 < side.zero < 100 for side in report.sides)
    assert all(0 <= row.low <= row.mid <= row.high <= 100 for side in report.sides for row in side.rows)


def test_a_us_grower_reads_ppm_and_inches() -> None:
    report = build_model(tiny())
    potassium = next(figure for figure in report.beds[0].figures if figure.analyte == "potassium")
    assert potassium.unit == "ppm"
    assert {row.layer for row in report.beds[0].rows} == {"0–5.9\u00a0in"}
    assert any("ft²" in fact for fact in report.beds[0].facts)


def test_a_value_below_the_limit_is_no_number() -> None:
    values = {row.value for row in build_model(with_gaps()).beds[0].rows if row.analyte == "boron"}
    assert values == {"below its limit"}


def test_of_many_beds_only_those_with_something_to_say_are_at_a_glance() -> None:
    overview = build_model(many(60, 4, 2)).overview
    assert 0 < len(overview.rows) < 30
    assert len(overview.rows) + overview.left_out == 60


def test_without_reports_nothing_is_claimed() -> None:
    report = build_model(empty())
    assert not report.changed
    assert not report.beds
    assert report.picture is None
    assert report.unsaid[0].lead.startswith("Nothing can be said")
