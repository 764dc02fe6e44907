from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.records import cells


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12.0),
        ("12.5", 12.5),
        ("12,5", 12.5),
        ("0,125", 0.125),
        ("12,25", 12.25),
        ("-3,5", -3.5),
        ("\u22123.5", -3.5),
        ("1.234", 1.234),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1234567.0),
        ("1 234", 1234.0),
        ("1\xa0234,5", 1234.5),
        ("1'234", 1234.0),
        ("1e3", 1000.0),
        (".5", 0.5),
    ],
)
def test_a_number_may_be_written_in_either_custom(text: str, value: float) -> None:
    assert cells.number(text) == value


@pytest.mark.parametrize(
    "text", ["", "nan", "inf", "-Infinity", "1e999", "twelve", "1,2,3", "12 kg", "1.2.3", "--1"]
)
def test_what_is_no_finite_number_is_refused(text: str) -> None:
    with pytest.raises(cells.BadCell, match="a number"):
        cells.number(text)


def test_a_comma_before_three_digits_could_be_two_numbers() -> None:
    with pytest.raises(cells.BadCell, match="one way only") as caught:
        cells.number("1,234")
    assert caught.value.advice == "Write 1234, or 1.2340 if that is meant."


def test_in_a_file_with_semicolons_the_comma_is_the_decimal_sign() -> None:
    assert cells.number("1,234", semicolons=True) == 1.234
    with pytest.raises(cells.BadCell, match="one way only"):
        cells.number("1.234", semicolons=True)


@given(st.floats(-1e9, 1e9, allow_nan=False), st.integers(0, 2), st.booleans())
@settings(deadline=None, max_examples=200)
def test_a_number_reads_the_same_with_point_or_comma(value: float, decimals: int, semicolons: bool) -> None:
    text = f"{value:.{decimals}f}"
    assert cells.number(text, semicolons=semicolons) == float(text)
    assert cells.number(text.replace(".", ","), semicolons=semicolons) == float(text)


@pytest.mark.parametrize(
    "text",
    [
        "2024-05-31",
        "2024/05/31",
        "2024.05.31",
        "20240531",
        "31.05.2024",
        "31.5.2024",
        "31/05/2024",
        "05/31/2024",
        "31 May 2024",
        "May 31, 2024",
        "31. Mai 2024",
        "31 mai 2024",
        "2024-05-31 00:00:00",
        "2024-05-31T00:00",
    ],
)
def test_a_date_that_can_only_be_one_day_is_read(text: str) -> None:
    assert cells.day(text) == date(2024, 5, 31)


def test_the_same_number_twice_is_no_question() -> None:
    assert cells.day("5/5/2024") == date(2024, 5, 5)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5/6/2024", "one way only"),
        ("2024-02-30", "exists"),
        ("2023-02-29", "exists"),
        ("31/31/2024", "exists"),
        ("0204-05-31", "a year from 1900 to 2100"),
        ("May 2024", "a date as"),
        ("2024", "a date as"),
        ("5/6/24", "a date as"),
        ("45413", "a date as"),
        ("spring", "a date as"),
        ("", "a date as"),
    ],
)
def test_a_date_that_is_none_or_could_be_two_is_refused(text: str, expected: str) -> None:
    with pytest.raises(cells.BadCell, match=expected):
        cells.day(text)


@pytest.mark.parametrize(
    ("column", "order", "first"),
    [
        (["5/6/2024", "13/6/2024"], "day first", date(2024, 6, 5)),
        (["5/6/2024", "6/13/2024"], "month first", date(2024, 5, 6)),
    ],
)
def test_one_clear_date_settles_the_order_of_its_column(
    column: list[str], order: cells.DayOrder, first: date
) -> None:
    assert cells.day_order(column) == order
    assert cells.day(column[0], cells.day_order(column)) == first


def test_a_column_that_shows_both_orders_settles_nothing() -> None:
    assert cells.day_order(["13/6/2024", "6/13/2024"]) is None


@given(st.dates(date(1900, 1, 1), date(2100, 12, 31)))
@settings(deadline=None, max_examples=100)
def test_every_iso_date_reads_as_itself(day: date) -> None:
    assert cells.day(day.isoformat()) == day
    assert cells.day(f"{day.day}.{day.month}.{day.year}") == day


def test_names_are_separated_by_semicolons() -> None:
    assert cells.names(" N1 ; North bed 1;; ") == ("N1", "North bed 1")
