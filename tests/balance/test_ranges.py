import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance.ranges import Range, total

positive = st.floats(min_value=1e-6, max_value=1e6)


@st.composite
def ranges(draw: st.DrawFn) -> Range:
    return Range(*sorted(draw(st.tuples(positive, positive, positive))))


def rises(value: Range) -> bool:
    return value.low <= value.typical <= value.high


def test_a_range_that_falls_is_refused() -> None:
    with pytest.raises(ValueError, match="must rise"):
        Range(2, 1, 3)


@settings(deadline=None, max_examples=100)
@given(ranges(), ranges(), positive)
def test_arithmetic_keeps_low_typical_high_in_order(a: Range, b: Range, factor: float) -> None:
    assert all(
        rises(value) for value in (a + b, a - b, a * b, a / b, a * factor, a * -factor, -a, a / factor)
    )


@settings(deadline=None, max_examples=100)
@given(ranges(), ranges())
def test_typical_values_multiply_plainly(a: Range, b: Range) -> None:
    assert (a * b).typical == pytest.approx(a.typical * b.typical)
    assert (a / b).typical == pytest.approx(a.typical / b.typical)


@settings(deadline=None, max_examples=100)
@given(ranges(), ranges(), ranges())
def test_a_product_does_not_depend_on_the_order(a: Range, b: Range, c: Range) -> None:
    one, other = (a * b) * c, a * (c * b)
    assert (one.low, one.high) == pytest.approx((other.low, other.high))


def test_spreads_combine_as_independent_errors_do() -> None:
    # Two factors, each ×/÷ e: together ×/÷ e to the root of two.
    e = Range(1 / math.e, 1, math.e)
    assert (e * e).high == pytest.approx(math.exp(math.sqrt(2)))


def test_an_exact_factor_widens_nothing() -> None:
    assert Range(1, 2, 4) * Range.exact(3) == Range(3, 6, 12)


def test_a_factor_that_may_be_zero_makes_the_low_end_zero() -> None:
    assert (Range(0, 1, 2) * Range(1, 2, 3)).low == 0


def test_a_typical_zero_keeps_the_high_end() -> None:
    assert Range(0, 0, 0.5) * Range(1, 2, 4) == Range(0, 0, 2)


def test_sums_add_end_to_end() -> None:
    assert total([Range(1, 2, 3), Range(10, 20, 30)]) == Range(11, 22, 33)
    assert total([]) == Range()
