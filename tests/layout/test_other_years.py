"""Columns headed by years: those of other years have reports of their own, unless nothing else is dated."""

from datetime import date

import pytest

from soiltrend.layout.naming import name_in_heading
from soiltrend.layout.reading import ReportReading
from tests.layout.bytes_of import read_bytes

TABLE = """
Test          2023    2020    2017    Unit
pH             6.4     6.2     5.9
Potassium      262     252     240    ppm
"""
OTHER_YEARS = {"6.2", "5.9", "252", "240"}


def read(dated: str, table: str = TABLE) -> ReportReading:
    return read_bytes(f"Soil test\nField: Oxbow\n{dated}\n{table}".encode(), "years.txt")


@pytest.mark.parametrize(
    "dated",
    [
        "Date sampled: 10/19/2023",
        "Date received: 10/25/2023",
        "Date reported: 25 October 2023",
        "Date: 2023-10-25",
        "Date sampled: 10/19/2023\nDate reported: 01/12/2024",  # the day of sampling says the year
    ],
)
def test_beside_a_full_date_only_its_own_year_counts(dated: str) -> None:
    report = read(dated)
    assert {(r.analyte, r.result.number) for r in report.readings} == {("ph", 6.4), ("potassium", 262)}
    assert {left.text for left in report.left_alone} == OTHER_YEARS
    assert {left.reason for left in report.left_alone} == {"it is an earlier result, not this report's"}


def test_the_column_of_its_own_year_was_sampled_on_the_day_told() -> None:
    found = {(r.sampled_on, r.date_basis, r.notes) for r in read("Date sampled: 10/19/2023").readings}
    assert found == {(date(2023, 10, 19), "sampled", ())}


@pytest.mark.parametrize("dated", ["", "Date sampled: 2023", "Date sampled: October 2023"])
def test_without_a_full_date_every_year_counts_and_its_day_is_noted_as_assumed(dated: str) -> None:
    readings = read(dated).readings
    assert {(r.analyte, r.result.number, r.sampled_on.year if r.sampled_on else 0) for r in readings} == {
        ("ph", 6.4, 2023), ("ph", 6.2, 2020), ("ph", 5.9, 2017),
        ("potassium", 262, 2023), ("potassium", 252, 2020), ("potassium", 240, 2017),
    }  # fmt: skip
    assert all("date-assumed" in r.notes for r in readings)


def test_columns_headed_by_full_dates_all_count() -> None:
    table = "\nTest   05/13/2023   05/24/2020\npH        6.4          6.2\nMagnesium 62           52\n"
    days = {r.sampled_on for r in read("Date reported: 05/30/2023", table).readings}
    assert days == {date(2023, 5, 13), date(2020, 5, 24)}


def test_rows_with_their_own_year_all_count() -> None:
    table = "\nSample     Year    pH    K ppm\nOxbow      2023    6.4    262\nMeadow     2020    6.2    252\n"
    assert len(read("Date reported: 05/30/2023", table).readings) == 4


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Sample Transect A, layer 0-10 cm", "Transect A"),
        ("Transect A | 0-10 cm", "Transect A"),
        ("Bed 4; 0-6 in", "Bed 4"),
        ("Bed 4 – 0-15 cm", "Bed 4"),
        ("Probe Hofwiese, Schicht 0-30 cm", "Hofwiese"),
        ("Sample 3, 0-10 cm", "Sample 3"),  # the number alone is no name
        ("House, north (0-15 cm)", "House, north"),
        ("House, north", "House, north"),
        ("0-10 cm", "0-10 cm"),
        ("Sample", "Sample"),
    ],
)
def test_a_line_over_results_gives_the_name_without_its_layer(line: str, name: str) -> None:
    assert name_in_heading(line) == name


def test_an_earlier_analysis_with_its_full_date_beside_the_result_counts_with_that_date() -> None:
    table = """
Paramètre              Unité    Résultat   Analyse du 12/03/2015   Valeurs souhaitées
pH eau                           6,1         5,8                    6,2 - 6,8
Potassium K2O échang.  mg/kg     154         131                    150 - 220
"""
    report = read("Date de prélèvement : 20/02/2019", table)
    found = {(r.analyte, str(r.sampled_on), r.value_printed) for r in report.readings}
    assert found == {
        ("ph", "2019-02-20", "6,1"), ("potassium", "2019-02-20", "154"),
        ("ph", "2015-03-12", "5,8"), ("potassium", "2015-03-12", "131"),
    }  # fmt: skip
