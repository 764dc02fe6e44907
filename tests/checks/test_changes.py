"""What changed about the testing: notes, once each, for the beds and analytes they touch."""

from datetime import date

import pytest

from soiltrend.checks.changes import (
    depth_changed,
    lab_changed,
    method_changed,
    season_changed,
    too_few_years,
)
from tests.checks.gardens import evidence, row, series

BEDS = ("Bed 1", "Bed 2")


def two_years(**second):
    return [
        row(b, y, "phosphorus", 40.0, **(second if y == 2021 else {})) for b in BEDS for y in (2020, 2021)
    ]


@pytest.mark.parametrize(
    ("check", "second", "words"),
    [
        (method_changed, {"method": "bray_p1"}, "now Bray P1, before Mehlich 3"),
        (lab_changed, {"lab": "Moorend Laboratory"}, "now from Moorend Laboratory"),
        (depth_changed, {"depth_to_cm": 20.0}, "cores now to 20 cm, before to 15 cm"),
        (season_changed, {"sampled_on": date(2021, 10, 12)}, "sampled in October, before in April"),
    ],
)
def test_a_change_of_testing_is_one_note_for_all_beds(check, second, words):
    (finding,) = check(evidence(two_years(**second)))
    assert finding.severity == "note"
    assert finding.bed is None
    assert finding.analyte == "phosphorus"
    assert finding.numbers["beds"] == list(BEDS)
    assert words in finding.text


@pytest.mark.parametrize(
    ("check", "second"),
    [
        (method_changed, {"method": ""}),  # not named is no proof of a change
        (lab_changed, {"lab": ""}),
        (depth_changed, {"depth_to_cm": 15.24}),  # 6 in rounded
        (depth_changed, {"depth_to_cm": 20.0, "notes": ("depth-assumed",)}),
        (season_changed, {"sampled_on": date(2021, 5, 9)}),
    ],
)
def test_what_is_not_known_or_hardly_differs_is_no_change(check, second):
    assert list(check(evidence(two_years(**second)))) == []


def test_december_and_january_are_one_season():
    rows = [
        row("Bed 1", 2020, "phosphorus", 40.0, sampled_on=date(2020, 12, 20)),
        row("Bed 1", 2022, "phosphorus", 40.0, sampled_on=date(2022, 1, 5)),
    ]
    assert list(season_changed(evidence(rows))) == []


def test_an_odd_report_between_two_alike_is_named_once():
    rows = series("Bed 1", "phosphorus", [40, 41, 42, 43])
    rows[1] = row("Bed 1", 2019, "phosphorus", 41, method="olsen")
    (finding,) = method_changed(evidence(rows))
    assert finding.numbers["date"].startswith("2019")


def test_two_methods_side_by_side_are_no_change():
    rows = [
        row("Bed 1", year, "phosphorus", 40.0, method=method)
        for year in (2020, 2021)
        for method in ("olsen", "mehlich_3")
    ]
    assert list(method_changed(evidence(rows))) == []


def test_beds_alike_in_their_few_reports_share_one_note():
    rows = [r for bed in BEDS for a in ("phosphorus", "potassium") for r in series(bed, a, [40, 42])]
    (finding,) = too_few_years(evidence(rows))
    assert finding.numbers == {"reports": 2, "beds": list(BEDS), "analytes": ["phosphorus", "potassium"]}
    assert "not a trend" in finding.text


def test_five_reports_are_not_too_few():
    assert list(too_few_years(evidence(series("Bed 1", "phosphorus", [40, 42, 41, 40, 43])))) == []


def test_two_results_of_one_sampling_are_one_report_of_its_laboratory():
    rows = [
        row("Bed 1", 2019, "ph", 6.2, lab="Fenwick Labs"),
        row("Bed 1", 2020, "ph", 6.3, lab="Marl Labs"),
        row("Bed 1", 2021, "ph", 6.2, lab="Fenwick Labs"),
        row("Bed 1", 2021, "ph", 6.4, lab="Fenwick Labs"),
        row("Bed 1", 2022, "ph", 6.2, lab="Marl Labs"),
    ]
    assert [f.numbers["date"][:4] for f in lab_changed(evidence(rows))] == ["2020", "2022"]


def test_two_laboratories_side_by_side_are_no_change():
    labs = ("Fenwick Labs", "Marl Labs")
    rows = [row("Bed 1", year, "ph", 6.2, lab=lab) for year in range(2019, 2023) for lab in labs]
    assert list(lab_changed(evidence(rows))) == []
