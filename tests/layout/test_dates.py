"""Dates in any usual form; the file's own evidence decides the order of day and month."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soiltrend.layout.dates import Order, date_in_name, find_date, is_date, order_in_time, printed_order
from tests.layout.bytes_of import read_bytes

FOURTH_OF_MAY = date(2021, 5, 4)
TABLE = "Sample,Date sampled,pH\n{rows}"


@pytest.mark.parametrize(
    "text",
    [
        "2021-05-04", "2021/5/4", "2021.05.04", "20210504", "4 May 2021", "4. Mai 2021", "May 4, 2021",
        "May 4th 2021",
        "4-May-21", "04-MAY-2021", "4 mai 2021", "4 de mayo de 2021", "Tue, 4 May 2021", "4 May 2021 10:33",
        "2021-05-04T08:15:00", "2021 May 4", "04.05.2021", "4.5.21", "the 4th of May 2021",
    ],
)  # fmt: skip
def test_a_date_that_reads_one_way(text: str) -> None:
    found = find_date(text)
    assert found is not None
    assert found.on("day-first") == (FOURTH_OF_MAY, ())


@pytest.mark.parametrize(
    ("order", "day"), [("day-first", date(2021, 5, 4)), ("month-first", date(2021, 4, 5))]
)
def test_two_small_numbers_follow_the_order_of_the_file(order: Order, day: date) -> None:
    found = find_date("04/05/2021")
    assert found is not None
    assert found.open
    assert found.on(order) == (day, ())


@pytest.mark.parametrize(
    ("text", "day", "note"),
    [
        ("April 2021", date(2021, 4, 15), "date-assumed"),
        ("04/2021", date(2021, 4, 15), "date-assumed"),
        ("2021", date(2021, 7, 1), "date-assumed"),
        ("31/02/2021", None, "date-impossible"),
        ("2021-02-30", None, "date-impossible"),
    ],
)
def test_a_part_of_a_date_or_an_impossible_one_is_noted(text: str, day: date | None, note: str) -> None:
    found = find_date(text)
    assert found is not None
    assert found.on("day-first") == (day, (note,))


@pytest.mark.parametrize(
    "text", ["6.5", "1.5-2.0", "12", "0-15", "51201", "23-118-0045", "1:2.5", "May be", "", "2/3"]
)
def test_what_is_no_date(text: str) -> None:
    assert find_date(text) is None


@pytest.mark.parametrize(
    ("text", "whole"), [("4 May 2021", True), ("sampled 4 May 2021", False), ("2021", False)]
)
def test_a_whole_cell_is_a_date_or_only_mentions_one(text: str, whole: bool) -> None:
    assert is_date(text) is whole


@pytest.mark.parametrize(
    ("texts", "order"),
    [
        (["04/05/2021", "25/05/2021"], "day-first"),
        (["04/05/2021", "05/25/2021"], "month-first"),
        (["04/05/2021", "25/05/2021", "05/25/2021"], ""),
        (["04/05/2021", "25.05.2021"], ""),  # points are always day first and say nothing of slashes
        (["04/05/2021"], ""),
    ],
)
def test_the_order_that_the_dates_of_a_file_show(texts: list[str], order: str) -> None:
    assert printed_order(found for text in texts if (found := find_date(text))) == order


def test_a_sample_is_taken_before_it_is_reported_on() -> None:
    sampled, reported = find_date("05/06/2021"), find_date("05/11/2021")
    assert sampled is not None
    assert reported is not None
    assert order_in_time(sampled, reported) == "month-first"


@pytest.mark.parametrize(
    ("name", "day"),
    [
        ("soil_2021-05-04", FOURTH_OF_MAY), ("20210504 lab", FOURTH_OF_MAY),
        ("beds 4 May 2021", FOURTH_OF_MAY),
        ("lab_2021", date(2021, 7, 1)), ("report_44871", None),
    ],
)  # fmt: skip
def test_the_date_in_a_files_name(name: str, day: date | None) -> None:
    found = date_in_name(name)
    assert (found.on("day-first")[0] if found else None) == day


@given(
    st.dates(date(1990, 1, 1), date(2060, 12, 31)),
    st.sampled_from(["%Y-%m-%d", "%d.%m.%Y", "%d %B %Y", "%b %d, %Y"]),
)
def test_any_day_comes_back(day: date, form: str) -> None:
    found = find_date(day.strftime(form))
    assert found is not None
    assert found.on("day-first") == (day, ())


def _dates(rows: list[str]) -> list[tuple[date | None, tuple[str, ...]]]:
    text = TABLE.format(rows="\n".join(f"Bed {n},{day},6.{n}" for n, day in enumerate(rows)))
    return [(one.sampled_on, one.notes) for one in read_bytes(text.encode(), "any.csv").readings]


def test_one_date_beyond_twelve_settles_the_others_of_its_file() -> None:
    assert _dates(["04/05/2021", "25/05/2021"]) == [(FOURTH_OF_MAY, ()), (date(2021, 5, 25), ())]


def test_dates_that_nothing_settles_are_marked() -> None:
    ((day, notes),) = _dates(["04/05/2021"])
    assert day in (FOURTH_OF_MAY, date(2021, 4, 5))
    assert notes == ("date-ambiguous",)


def test_a_received_date_is_called_so_where_no_sampling_date_is_printed() -> None:
    text = b"Date received: 2021-05-06\nSample: Bed 1\npH 6.5\nPhosphorus 45 ppm\n"
    assert {(one.sampled_on, one.date_basis) for one in read_bytes(text, "any.txt").readings} == {
        (FOURTH_OF_MAY + timedelta(days=2), "received")
    }


def test_the_files_name_dates_a_report_that_prints_no_date() -> None:
    text = b"Sample,pH\nBed 1,6.5\n"
    (one,) = read_bytes(text, "soil_2021-05-04.csv").readings
    assert (one.sampled_on, one.date_basis) == (FOURTH_OF_MAY, "filename")
