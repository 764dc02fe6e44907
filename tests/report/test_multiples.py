"""Small charts as geometry: everything lies where its number says, and inside the frame."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.report.multiples import BOTTOM, LEFT, RIGHT, TOP, Dot, TimeAxis, draw, ticks, year_of


def dot(day: date, value: float, *, noise: float = 0.1, segment: int = 0, line: float | None = None) -> Dot:
    return Dot(
        day=day,
        value=value,
        noise_low=value - noise,
        noise_high=value + noise,
        segment=segment,
        kind="dot",
        href="#r1",
        title="",
        fitted=line,
        low=None if line is None else line - noise,
        high=None if line is None else line + noise,
    )


AXIS = TimeAxis.of([date(2019, 10, 1), date(2023, 10, 1)])


def test_the_axis_covers_whole_years() -> None:
    assert AXIS.x(date(2019, 1, 1)) == pytest.approx(LEFT, abs=0.5)
    assert AXIS.x(date(2023, 12, 31)) == pytest.approx(RIGHT, abs=0.5)
    assert [tick.label for tick in AXIS.labels] == ["2019", "2020", "2021", "2022", "2023"]


def test_long_axes_label_every_few_years() -> None:
    axis = TimeAxis.of([date(2000, 1, 1), date(2025, 1, 1)])
    assert len(axis.labels) <= 7
    assert len(axis.starts) == 25


def test_a_garden_without_dates_still_has_an_axis() -> None:
    assert TimeAxis.of([]).end > TimeAxis.of([]).start


def test_higher_values_stand_higher() -> None:
    chart = draw([dot(date(2020, 1, 1), 2.0), dot(date(2021, 1, 1), 3.0)], AXIS)
    low, high = chart.marks
    assert low.y > high.y
    assert low.x < high.x


def test_the_line_is_not_drawn_across_a_break() -> None:
    days = [date(2019 + n, 10, 1) for n in range(4)]
    dots = [dot(day, 2.0 + n, segment=n // 2, line=2.0 + n) for n, day in enumerate(days)]
    chart = draw(dots, AXIS)
    assert len(chart.lines) == len(chart.bands) == 2
    assert len(chart.breaks) == 1
    between = chart.breaks[0]
    assert chart.marks[1].x < between < chart.marks[2].x


def test_one_report_has_a_dot_and_no_line() -> None:
    chart = draw([dot(date(2020, 10, 1), 3.0)], AXIS)
    assert len(chart.marks) == 1
    assert not chart.lines
    assert not chart.breaks


def test_equal_values_without_noise_stay_drawable() -> None:
    chart = draw([dot(date(2020, 10, 1), 0.0, noise=0.0), dot(date(2021, 10, 1), 0.0, noise=0.0)], AXIS)
    assert all(TOP <= mark.y <= BOTTOM for mark in chart.marks)


def test_what_was_put_on_outside_the_years_is_not_drawn() -> None:
    put_on = [(date(2012, 4, 1), "early"), (date(2021, 4, 1), "inside")]
    chart = draw([dot(date(2020, 10, 1), 3.0)], AXIS, applied=put_on)
    assert [tick.label for tick in chart.applied] == ["inside"]


def test_places_to_click_share_the_width_without_gaps() -> None:
    days = [date(2019, 10, 1) + timedelta(days=200 * n) for n in range(6)]
    marks = draw([dot(day, 3.0) for day in days], AXIS).marks
    assert sum(mark.hit_width for mark in marks) == pytest.approx(RIGHT - LEFT, abs=0.5)
    assert all(mark.hit_x <= mark.x <= mark.hit_x + mark.hit_width for mark in marks)


@pytest.mark.parametrize(
    ("low", "high", "labels"),
    [
        (3.0, 4.2, ["3.0", "3.5", "4.0"]),
        (0.0, 1000.0, ["0", "500", "1000"]),
        (-0.3, 0.3, ["−0.2", "0.0", "0.2"]),
        (2.0, 2.0, ["2.0"]),
    ],
)
def test_ticks_are_round_numbers(low: float, high: float, labels: list[str]) -> None:
    assert [label for _, label in ticks(low, high)] == labels


sizes = st.floats(min_value=1e-3, max_value=1e5)


@given(st.lists(st.tuples(st.integers(0, 1700), sizes, sizes), min_size=1, max_size=15))
@settings(max_examples=100, deadline=None)
def test_everything_stays_inside_the_frame(values: list[tuple[int, float, float]]) -> None:
    dots = [
        dot(date(2019, 1, 1) + timedelta(days=day), value, noise=noise, line=value * 3)
        for day, value, noise in values
    ]
    chart = draw(dots, AXIS)
    for mark in chart.marks:
        assert LEFT <= mark.x <= RIGHT
        assert TOP <= mark.high <= mark.y <= mark.low <= BOTTOM
        assert mark.hit_width >= 0
    assert all(TOP <= tick.at <= BOTTOM for tick in chart.y_ticks)


@given(sizes, sizes)
@settings(max_examples=100, deadline=None)
def test_ticks_lie_between_the_ends_and_are_few(low: float, span: float) -> None:
    found = ticks(low, low + span)
    assert len(found) <= 6
    assert all(low - span * 1e-6 <= value <= low + span * (1 + 1e-6) for value, _ in found)


def test_a_day_is_a_fraction_of_its_year() -> None:
    assert year_of(date(2021, 1, 1)) == pytest.approx(2021.0, abs=0.01)
    assert year_of(date(2021, 7, 2)) == pytest.approx(2021.5, abs=0.01)
