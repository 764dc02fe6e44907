"""What a person at a terminal sees of each command: few columns, numbers rounded by their uncertainty."""

from typing import Any

import pytest

from soiltrend.pipeline import views

TREND = {
    "bed": "Bed 1", "analyte": "organic_matter", "unit": "%", "n": 4, "first_on": "2020-04-01",
    "last_on": "2023-04-01", "slope_per_year": 0.31234, "ci_low": 0.1, "ci_high": 0.52,
    "verdict": "no-change-shown",
}  # fmt: skip


def test_a_trend_is_one_line_in_words() -> None:
    assert views.trends_view([TREND]) == [
        {
            "bed": "Bed 1",
            "test": "OM",
            "years": "2020–2023",
            "reports": 4,
            "change a year": "+0.31 points",
            "95 % interval": "+0.10 to +0.52",
            "verdict": "no change shown",
        }
    ]


def test_a_series_without_a_fit_shows_a_dash() -> None:
    row = TREND | {"slope_per_year": None, "ci_low": None, "ci_high": None, "last_on": "2020-04-01"}
    shown = views.trends_view([row])[0]
    assert (shown["change a year"], shown["95 % interval"], shown["years"]) == ("–", "–", "2020")


@pytest.mark.parametrize(
    ("low", "value", "high", "shown"),
    [
        (-0.004, 0.001, 0.006, "+0.001 points"),
        (-40, 3.3, 46, "+3 points"),
        (-2.4, 0.26, 2.9, "+0.3 points"),
        (-310, 12.0, 334, "+12 points"),
        (-0.9, -0.04, 0.8, "about 0"),
        (0.004, 0.02, 0.9, "+0.02 points"),
        (-0.9, -0.02, -0.004, "-0.02 points"),
    ],
)
def test_a_number_has_no_more_places_than_its_interval_carries(
    low: float, value: float, high: float, shown: str
) -> None:
    row = TREND | {"ci_low": low, "ci_high": high, "slope_per_year": value}
    assert views.trends_view([row])[0]["change a year"] == shown


def test_a_finding_is_a_heading_with_text_causes_and_what_to_do() -> None:
    row: dict[str, Any] = {
        "severity": "doubtful", "bed": None, "analyte": "phosphorus", "text": "It stands at × 2.3.",
        "causes": [{"code": "a", "text": "Another form.", "weight": 0.8}], "next_step": "Ask the lab.",
    }  # fmt: skip
    (block,) = views.finding_blocks([row])
    assert block.heading == "DOUBTFUL  a whole report, P"
    assert block.lines == ("It stands at × 2.3.", "80% Another form.", "Next: Ask the lab.")


def test_a_claim_shows_what_was_not_understood() -> None:
    row = {
        "claim": "It frobnicated", "verdict": "untestable", "reasons": [{"code": "x", "text": "No measure."}],
        "say_instead": "Nothing.", "to_settle": "Test.", "not_understood": ["frobnicated"],
    }  # fmt: skip
    (block,) = views.claim_blocks([row])
    assert "Not understood: frobnicated." in block.lines


def test_the_balance_speaks_the_growers_units() -> None:
    row = {
        "bed": "Bed 1", "what": "put on", "year": "total", "quantity": "dry_mass", "low": 1.0,
        "typical": 2.0, "high": 3.0, "unit": "kg/m2", "largest": None, "observed": None,
    }  # fmt: skip
    rows = [row, row | {"unit": "lb/1000 ft2"}]
    assert [shown["unit"] for shown in views.balance_view(rows, "metric")] == ["kg/m2"]
    assert [shown["unit"] for shown in views.balance_view(rows, "us")] == ["lb/1000 ft2"]


@pytest.mark.parametrize(
    ("beds", "about"),
    [
        (["Bed 1", "Bed 2"], "Bed 1 and Bed 2"),
        (["Bed 1", "Bed 2", "Bed 3"], "3 beds"),
        ([], "a whole report"),
    ],
)
def test_a_finding_about_several_beds_is_headed_by_them(beds: list[str], about: str) -> None:
    row: dict[str, Any] = {
        "severity": "note", "bed": None, "analyte": "magnesium", "text": "Few reports.",
        "causes": [], "next_step": "", "numbers": {"beds": beds},
    }  # fmt: skip
    assert views.finding_blocks([row])[0].heading == f"NOTE  {about}, Mg"


NEW = {
    "bed": "Bed 1", "analyte": "organic_matter", "printed": "3,2", "value": 3.2, "unit": "%",
    "qualifier": "", "last_value": 3.0, "last_on": "2025-04-01", "last_qualifier": "", "change": 0.2000001,
    "doubt": None, "source": "post/2026.csv",
}  # fmt: skip


def test_a_new_value_stands_beside_the_last_one_with_its_whole_date() -> None:
    assert views.add_view([NEW]) == [
        {
            "bed": "Bed 1", "test": "OM", "printed": "3,2", "value": "3.2 %", "last": "3",
            "on": "2025-04-01", "change": "+0.2", "doubt": "", "file": "",
        }
    ]  # fmt: skip


def test_a_new_value_without_a_last_one_shows_dashes() -> None:
    first = NEW | {"last_value": None, "last_on": None, "last_qualifier": None, "change": None}
    shown = views.add_view([first])[0]
    assert (shown["last"], shown["on"], shown["change"]) == ("–", "–", "–")


def test_files_are_named_where_there_are_several() -> None:
    shown = views.add_view([NEW, NEW | {"source": "post/2027.csv"}])
    assert [row["file"] for row in shown] == ["2026.csv", "2027.csv"]


def test_an_explanation_says_taken_or_left_in_words() -> None:
    row = {
        "taken": True, "sample": "N1", "analyte": "organic_matter", "text": "3.2", "place": "line 4",
        "reason": "It stands beside 'OM'.", "source": "a.txt",
    }  # fmt: skip
    left = row | {"taken": False, "sample": None, "analyte": "Recommended lime"}
    shown = views.explanation_view([row, left])
    assert [(one[""], one["sample"], one["test"]) for one in shown] == [
        ("taken", "N1", "OM"), ("left", "", "Recommended lime"),
    ]  # fmt: skip


def test_a_balance_says_over_which_years_a_change_is_and_in_points() -> None:
    row = {
        "bed": "Bed 1", "what": "change", "year": "2023-2026", "quantity": "organic_matter", "low": 0.08,
        "typical": 0.81, "high": 1.45, "unit": "%", "largest": 2.55, "observed": 1.79,
    }  # fmt: skip
    (shown,) = views.balance_view([row], "us")
    assert (shown["what"], shown["of"], shown["unit"]) == ("change 2023–26", "OM", "points")


def test_an_end_of_an_interval_that_is_not_zero_does_not_read_as_zero() -> None:
    row = TREND | {"ci_low": 0.004, "ci_high": 0.9, "slope_per_year": 0.45}
    assert views.trends_view([row])[0]["95 % interval"] == "+0.004 to +0.9"
