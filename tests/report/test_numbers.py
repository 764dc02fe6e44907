"""As many figures as the uncertainty carries, and never a false 0 or 100 %."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.report.numbers import (
    ABOUT_ZERO,
    MINUS,
    decimals_for,
    estimate,
    plain,
    reading,
    share,
    signed,
    two_figures,
    with_unit,
)


# Particle Data Group, Review of Particle Physics, introduction, "Rounding": its two examples (from memory).
@pytest.mark.parametrize(("value", "uncertainty", "printed"), [(0.827, 0.119, "0.83"), (0.827, 0.367, "0.8")])
def test_the_rounding_rule_on_its_authors_examples(value: float, uncertainty: float, printed: str) -> None:
    assert plain(value, decimals_for(uncertainty)) == printed


@pytest.mark.parametrize(
    ("uncertainty", "decimals"),
    [(0.354, 2), (0.355, 1), (0.949, 1), (0.95, 1), (9.6, 0), (35.5, -1), (120, -1), (0.0, 3), (math.inf, 3)],
)
def test_how_many_decimals_an_uncertainty_carries(uncertainty: float, decimals: int) -> None:
    assert decimals_for(uncertainty) == decimals


@pytest.mark.parametrize(
    ("value", "decimals", "printed"),
    [
        (3.14159, 2, "3.14"),
        (-3.14159, 1, f"{MINUS}3.1"),
        (1234.0, 0, "1234"),
        (12345.0, 0, "12\u202f345"),
        (148.0, -1, "150"),
        (0.0, 2, "0.00"),
        (0.004, 2, "0.004"),
        (0.0004, 2, "0.0004"),
        (0.00004, 2, ABOUT_ZERO),
        (-0.004, 2, f"{MINUS}0.004"),
    ],
)
def test_plain_numbers(value: float, decimals: int, printed: str) -> None:
    assert plain(value, decimals) == printed


def test_a_change_carries_its_sign() -> None:
    assert signed(0.14, 2) == "+0.14"
    assert signed(-0.14, 2) == f"{MINUS}0.14"
    assert signed(0.0, 2) == "0.00"


def test_an_estimate_and_its_interval_are_rounded_alike() -> None:
    rounded = estimate(0.1433, 0.0812, 0.2154, sign=True)
    assert (rounded.value, rounded.interval) == ("+0.14", "+0.08 to +0.22")


def test_an_estimate_that_rounds_to_nothing_between_two_signs_is_about_zero() -> None:
    assert estimate(0.0001, -0.3, 0.31).value == ABOUT_ZERO


def test_an_interval_above_zero_never_seems_to_touch_it() -> None:
    assert estimate(0.15, 0.002, 0.3).low == "0.002"


@pytest.mark.parametrize(
    ("part", "printed"),
    [
        (0, "0 %"),
        (0.004, "under 1 %"),
        (0.5, "50 %"),
        (0.993, "over 99 %"),
        (0.9999, "over 99 %"),
        (1, "100 %"),
    ],
)
def test_a_share_is_all_or_nothing_only_when_it_is(part: float, printed: str) -> None:
    assert share(part).replace("\u00a0", " ") == printed


@pytest.mark.parametrize(
    ("value", "printed"), [(6.4, "6.4"), (1420.0, "1420"), (0.0312, "0.0312"), (0, "0"), (math.nan, "–")]
)
def test_one_reading(value: float, printed: str) -> None:
    assert reading(value) == printed


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    assert with_unit("11", "meq/100 g") == "11\u00a0meq/100\u00a0g"
    assert with_unit("6.4", "") == "6.4"


def test_two_figures() -> None:
    assert [two_figures(value) for value in (0.62, 48.0, 3.1, 0.0)] == [2, 0, 1, 0]


numbers = st.floats(min_value=-1e6, max_value=1e6).filter(lambda value: value == 0 or abs(value) > 1e-6)


@given(numbers, st.floats(min_value=1e-4, max_value=1e5))
@settings(max_examples=200, deadline=None)
def test_what_is_printed_is_within_half_the_uncertainty(value: float, uncertainty: float) -> None:
    text = plain(value, decimals_for(uncertainty)).replace(MINUS, "-").replace("\u202f", "")
    printed = 0.0 if text == ABOUT_ZERO else float(text)
    assert abs(printed - value) <= uncertainty / 2 + 1e-9


@given(numbers)
@settings(max_examples=200, deadline=None)
def test_printing_never_turns_a_sign_round(value: float) -> None:
    text = signed(value, decimals_for(abs(value) / 3 or 1))
    assert text.startswith(MINUS if value < 0 else "+" if value > 0 else "0")
