"""Dates and layers in running text: the name nearest to a date is its own, whatever line it stands on."""

import pytest

from soiltrend.layout.dates import find_date
from soiltrend.layout.reading import ReportReading
from soiltrend.layout.spoken import clauses, date_in
from tests.layout.bytes_of import read_text

RESULTS = "\nSample: Bed 1\n  pH (water)       6.5\n  Phosphorus (P)   45 mg/kg\n"


def dated(reading: ReportReading) -> set[tuple[str, str]]:
    return {(str(r.sampled_on), r.date_basis) for r in reading.readings}


@pytest.mark.parametrize(
    ("said", "day", "basis"),
    [
        (
            "Soil analysis\nTaken 16 March 2021 - received 19/03/2021 - issued 01/04/2021\n",
            "2021-03-16", "sampled",
        ),
        (
            "Bodenlabor\nIhre beiden Bodenproben (Eingang 26.03.2021, laut Begleitschein entnommen\n"
            "am 24.03.2021, 0-20 cm) sind untersucht.\n",
            "2021-03-24", "sampled",
        ),
        (
            "Soil laboratory\nHere are the\nnumbers for the two soil samples we received on May 16, 2019.\n",
            "2019-05-16", "received",
        ),
    ],
)  # fmt: skip
def test_a_report_is_dated_by_what_its_text_says(said: str, day: str, basis: str) -> None:
    assert dated(read_text(said + RESULTS)) == {(day, basis)}


def test_the_head_of_a_mail_is_no_running_text() -> None:
    head = "Subject: Re: your soil samples\nDate reported: Tue, 14 May 2019\n\nReceived on May 6, 2019.\n"
    assert dated(read_text(head + RESULTS)) == {("2019-05-06", "received")}


def test_a_layer_behind_a_date_is_the_layer_sampled() -> None:
    reading = read_text(
        "Soil test\nThe bed was sampled on 24.03.2021, 0-20 cm, as every\nyear by ourselves.\n" + RESULTS
    )
    assert {(r.depth_from_cm, r.depth_to_cm) for r in reading.readings} == {(0.0, 20.0)}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ("your samples, date reported 14 May 2019", "date_reported"),  # the nearest name
        ("sampled by the grower on 3 May 2021", "date_sampled"),
        ("we met on 3 May 2021", ""),
        ("sampled in spring", ""),
    ],
)
def test_the_name_nearest_to_a_date_is_its_own(said: str, field: str) -> None:
    assert date_in(said) == field


def test_the_first_date_of_a_text_counts_however_it_is_written() -> None:
    found = find_date("Prélevé le 16 mars 2021, reçu le 19/03/2021")
    assert found is not None
    assert (found.year, found.month, found.day) == (2021, 3, 16)


@pytest.mark.parametrize("date", ["March 24, 2021", "8. November 2022", "24.03.2021", "24-03-2021"])
def test_no_clause_ends_in_a_date(date: str) -> None:
    assert clauses(f"sampled {date}") == [f"sampled {date}"]
