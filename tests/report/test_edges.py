"""Awkward gardens: the page stays whole and says what is missing."""

from collections.abc import Callable
from dataclasses import replace

import pandas as pd
import pytest

from soiltrend.report import FileRead, ReportInput, build_model, render
from tests.report.sample import RISES, TESTS, empty, garden, made, many, named, rich, rows, tiny, with_gaps
from tests.report.test_page import Walk

LONG = "Bed with a name as long as a bed " * 6 + "!"
WORD = "B" * 200
RTL = "حوض الطماطم"
EMOJI = "🥕🥕 carrots 👩🏽‍🌾"


def one_report() -> ReportInput:
    return made(garden(years=range(2025, 2026)), rows(["North 1", "North 2"], range(2025, 2026), ["ph"], {}))


def no_amendments() -> ReportInput:
    where = garden(amended=False)
    return made(where, rows(["North 1", "South 1"], range(2019, 2026), list(TESTS), RISES))


def one_bed() -> ReportInput:
    return made(garden(["Only bed"]), rows(["Only bed"], range(2020, 2026), list(TESTS), {}))


def strange_names() -> ReportInput:
    return named(LONG, WORD, RTL, EMOJI, "", "  ", "a/b?c#d&e=f%20")


GARDENS: list[Callable[[], ReportInput]] = [
    empty, tiny, one_report, no_amendments, one_bed, strange_names, with_gaps, rich,
]  # fmt: skip


def text_of(page: str) -> str:
    return " ".join(page.replace("\u00a0", " ").split())


@pytest.mark.parametrize("make", GARDENS, ids=lambda make: make.__name__)
def test_the_page_is_whole_whatever_the_garden(make: Callable[[], ReportInput]) -> None:
    walk = Walk(render(build_model(make())))
    assert not walk.wrong
    assert not walk.open
    assert len(walk.ids) == len(set(walk.ids))
    assert {link[1:] for link in walk.links if link.startswith("#")} <= set(walk.ids)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (empty, "No report could be read yet"),
        (empty, "There is no bed with a value yet."),
        (empty, "looks like an invoice"),
        (one_report, "2 series have too few comparable reports for any statement (pH)."),
        (one_report, "No bed has two comparable reports of the same test yet"),
        (no_amendments, "Nothing is recorded as put on, so no change can be tied to a treatment."),
        (no_amendments, "No report has a sample of this bed."),
        (with_gaps, "In the reports without a value that can be drawn: Boron."),
        (with_gaps, "below its limit"),
        (strange_names, WORD),
        (strange_names, RTL),
        (strange_names, EMOJI),
    ],
    ids=lambda case: case if isinstance(case, str) else case.__name__,
)
def test_the_page_says_what_is_missing(make: Callable[[], ReportInput], said: str) -> None:
    assert said in text_of(render(build_model(make())))


def test_sixty_beds_stay_within_twelve_megabytes_and_offer_their_rows_bed_by_bed() -> None:
    page = render(build_model(many(60, 15, 12)))
    assert len(page.encode()) <= 12_000_000
    assert page.count('download="bed-') == 60
    assert 'download="observations.csv"' not in page
    assert "The table of all readings is left out on paper" in page


def test_a_file_that_repeats_another_counts_once_and_is_printed_once() -> None:
    given = tiny()
    copy = given.observations.assign(source="reports/copy.csv")
    copy["notes"] = [(*notes, "duplicate-of:reports/2020.csv") for notes in copy["notes"]]
    table = pd.concat([given.observations, copy], ignore_index=True)
    files = (*given.files, FileRead(source="reports/copy.csv", rows=len(copy)))
    first, again = build_model(given), build_model(replace(given, observations=table, files=files))
    assert again.summary == first.summary
    assert [len(bed.rows) for bed in again.beds] == [len(bed.rows) for bed in first.beds]
    assert again.files_read[-1].messages == ("the same as reports/2020.csv: it counts once",)


def test_what_changed_within_one_season_is_no_headline() -> None:
    given = tiny()
    short = [replace(trend, span_years=0.3, verdict="no-change-shown") for trend in given.trends]
    report = build_model(replace(given, trends=short))
    assert not report.changed
    assert {figure.headline for bed in report.beds for figure in bed.figures} == {"within one season"}
    assert not report.sides
    assert "those of one season" in report.unsaid[0].lead
