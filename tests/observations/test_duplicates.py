from datetime import date

import pytest

from soiltrend.observations import merge

LATER = "reports/b.csv"


def duplicates(rows):
    return [next((n for n in row.notes if n.startswith("duplicate-of:")), "") for row in rows]


@pytest.fixture
def results(reading):
    """Three results of one bag; any field may differ."""

    def make(**fields):
        return (
            reading(6.5, **fields),
            reading(45.0, **({"analyte": "phosphorus", "unit": "mg/kg", "method": "bray_p1"} | fields)),
            reading(3.2, **({"analyte": "organic_matter", "unit": "%"} | fields)),
        )

    return make


def test_the_same_bytes_count_once_whatever_their_name_says(results, report) -> None:
    first = report(*results(), sha256="x")
    again = report(*results(sampled_on=date(2025, 1, 1), date_basis="filename"), source=LATER, sha256="x")
    rows, messages = merge([first, again], None)
    assert duplicates(rows) == [""] * 3 + ["duplicate-of:reports/a.csv"] * 3
    assert messages == ["reports/b.csv is the same file as reports/a.csv: it counts once."]


@pytest.mark.parametrize(
    "fields",
    [{}, {"sample": "NORTH-1"}, {"lab": "Test Lab"}, {"place": "page 1 line 3"}],
    ids=["equal", "spelling", "lab printed once", "place"],
)
def test_the_same_results_in_another_file_count_once(results, report, fields) -> None:
    rows, messages = merge([report(*results()), report(*results(**fields), source=LATER)], None)
    assert duplicates(rows) == [""] * 3 + ["duplicate-of:reports/a.csv"] * 3
    assert messages == ["reports/b.csv repeats results of reports/a.csv: they count once."]


def test_the_first_of_three_is_the_original_of_both_others(results, report) -> None:
    rows, _ = merge(
        [report(*results()), report(*results(), source=LATER), report(*results(), source="reports/c.csv")],
        None,
    )
    assert duplicates(rows)[3:] == ["duplicate-of:reports/a.csv"] * 6


def test_one_report_number_is_one_report_even_where_the_dates_differ(results, report) -> None:
    numbered = {"report": "R-17", "lab": "Test Lab"}
    received = {"sampled_on": date(2024, 4, 20), "date_basis": "received"}
    rows, _ = merge(
        [report(*results(**numbered)), report(*results(**numbered, **received), source=LATER)], None
    )
    assert duplicates(rows)[3:] == ["duplicate-of:reports/a.csv"] * 3


@pytest.mark.parametrize(
    "fields",
    [
        {"sample": "North 2"},
        {"sampled_on": date(2023, 4, 15)},
        {"depth_from_cm": 15, "depth_to_cm": 30},
        {"sampled_on": None},
    ],
)
def test_another_bag_year_or_layer_is_no_duplicate(results, report, fields) -> None:
    rows, messages = merge([report(*results()), report(*results(**fields), source=LATER)], None)
    assert duplicates(rows) == [""] * 6
    assert messages == []


def test_two_laboratories_may_agree(results, report) -> None:
    reports = [report(*results(lab="First Lab")), report(*results(lab="Second Lab"), source=LATER)]
    assert duplicates(merge(reports, None)[0]) == [""] * 6


def test_another_method_with_the_same_number_is_another_result(results, report, reading) -> None:
    olsen = reading(45.0, analyte="phosphorus", unit="mg/kg", method="olsen")
    rows, _ = merge([report(*results()), report(olsen, source=LATER)], None)
    assert duplicates(rows) == [""] * 4


def test_a_report_that_differs_in_one_result_counts_in_full_and_is_named(results, report, reading) -> None:
    changed = (*results()[:2], reading(3.4, analyte="organic_matter", unit="%"))
    rows, (message,) = merge([report(*results()), report(*changed, source=LATER)], None)
    assert duplicates(rows) == [""] * 6
    assert message.startswith("reports/b.csv and reports/a.csv both report sample 'North 1' of 2024-04-15: ")
    assert "2 results agree and 1 differ" in message


def test_an_added_result_beside_repeated_ones_counts(results, report, reading) -> None:
    more = (*results(), reading(1.2, analyte="zinc", unit="mg/kg"))
    rows, _ = merge([report(*results()), report(*more, source=LATER)], None)
    assert duplicates(rows)[3:] == ["duplicate-of:reports/a.csv"] * 3 + [""]


def test_a_summary_page_of_the_same_file_counts_once(results, report) -> None:
    rows, _ = merge([report(*results(), *results(place="page 2 line 1"))], None)
    assert duplicates(rows) == [""] * 3 + ["duplicate-of:reports/a.csv"] * 3


def test_replicates_of_one_bag_in_one_file_both_count(report, reading) -> None:
    rows, _ = merge([report(reading(6.5), reading(6.6))], None)
    assert duplicates(rows) == ["", ""]


def test_not_detected_equals_not_detected_only(report, reading) -> None:
    from soiltrend.values import Result

    nothing = Result(qualifier="<", status="not-detected")
    absent = reading(analyte="zinc", unit="mg/kg", result=nothing)
    limit = reading(
        analyte="zinc", unit="mg/kg", result=Result(number=0.5, qualifier="<", status="not-detected")
    )
    measured = reading(0.5, analyte="zinc", unit="mg/kg")
    assert duplicates(merge([report(absent), report(absent, source=LATER)], None)[0])[1]
    assert duplicates(merge([report(limit), report(absent, source=LATER)], None)[0])[1] == ""
    assert duplicates(merge([report(limit), report(measured, source=LATER)], None)[0])[1] == ""


def test_nothing_is_ever_dropped(results, report) -> None:
    reports = [
        report(*results(), source=f"reports/{i}.csv", sha256="x" if i % 2 else f"{i}") for i in range(7)
    ]
    rows, _ = merge(reports, None)
    assert len(rows) == 21
    assert duplicates(rows).count("") == 3


def test_years_with_equal_values_and_one_report_number_are_years_all_the_same(results, report) -> None:
    numbered = {"report": "R1", "date_basis": "sampled"}
    first = report(*results(**numbered, sampled_on=date(2023, 4, 1)))
    second = report(*results(**numbered, sampled_on=date(2024, 4, 1)), source=LATER)
    rows, messages = merge([first, second], None)
    assert duplicates(rows) == [""] * 6
    assert messages == []
