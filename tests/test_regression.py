"""Fits on plain arrays: properties that hold for any data, and the edges."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from soiltrend.regression import (
    band,
    benjamini_hochberg,
    coverage,
    detectable_delta,
    exact_p,
    fit_censored,
    fit_lines,
    kendall_s,
    leave_one_out,
    moderate,
    null_counts,
    p_values,
    pooled_noise,
    power,
    scatter,
    slope_bounds,
    smallest_detectable,
    t_quantile,
    theil_sen,
    two_sided_p,
)

SETTINGS = settings(deadline=None, max_examples=60)
values = st.floats(-50, 50, allow_nan=False).map(lambda v: round(v, 3))


@st.composite
def gardens(draw, least: int = 2):
    """Some series of some years each, in a shuffled order of rows."""
    lengths = draw(st.lists(st.integers(least, 9), min_size=1, max_size=5))
    series = np.repeat(np.arange(len(lengths)), lengths)
    years = [draw(st.permutations(range(2005, 2025)))[:n] for n in lengths]
    y = draw(st.lists(values, min_size=len(series), max_size=len(series)))
    order = draw(st.permutations(range(len(series))))
    x = np.concatenate(years).astype(float)
    return series[list(order)], x[list(order)], np.array(y)[list(order)]


def fit(garden, s0=1.0, d0=4.0, **more):
    series, x, y = garden
    lines = fit_lines(series, x, y, **more)
    s, df, se = moderate(lines, s0, d0)
    return lines, s, df, se


@SETTINGS
@given(gardens(), st.floats(-100, 100), st.floats(-1e4, 1e4))
def test_moving_y_or_x_leaves_slope_and_error_alone(garden, up: float, along: float) -> None:
    series, x, y = garden
    lines, s, _, se = fit(garden)
    moved, s_moved, _, se_moved = fit((series, x + along, y + up))
    assert_allclose(moved.slope, lines.slope, atol=1e-9)
    assert_allclose(se_moved, se, rtol=1e-7)
    assert_allclose(s_moved, s, rtol=1e-7)


@SETTINGS
@given(gardens(), st.floats(0.01, 100), st.floats(0.01, 100))
def test_units_of_y_and_x_carry_over(garden, in_y: float, in_x: float) -> None:
    series, x, y = garden
    lines, _, df, se = fit(garden)
    scaled, _, df_scaled, se_scaled = fit((series, x * in_x, y * in_y), s0=in_y)
    assert_allclose(scaled.slope, lines.slope * in_y / in_x, rtol=1e-7, atol=1e-9 * in_y / in_x)
    assert_allclose(
        p_values(scaled.slope, se_scaled, df_scaled), p_values(lines.slope, se, df), rtol=1e-6, atol=1e-9
    )


@SETTINGS
@given(gardens(), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(garden, random) -> None:
    order = list(range(len(garden[0])))
    random.shuffle(order)
    first, _, _, se = fit(garden)
    second, _, _, se_second = fit(tuple(column[order] for column in garden))
    assert_allclose(second.slope, first.slope, atol=1e-10)
    assert_allclose(se_second, se, rtol=1e-9)
    assert_allclose(second.residuals, first.residuals[order], atol=1e-9)


@SETTINGS
@given(gardens())
def test_a_series_is_fitted_as_if_it_were_alone(garden) -> None:
    series, x, y = garden
    together, _, _, se = fit(garden)
    for i in range(series.max() + 1):
        own = series == i
        alone, _, _, se_alone = fit((series[own] * 0, x[own], y[own]))
        assert_allclose(together.slope[i], alone.slope[0], atol=1e-10)
        assert_allclose(se[i], se_alone[0], rtol=1e-9)


@SETTINGS
@given(gardens(), st.floats(0.05, 20))
def test_endless_prior_knowledge_is_known_variance(garden, s0: float) -> None:
    lines, s, df, se = fit(garden, s0=s0, d0=np.inf)
    near, _, near_df, near_se = fit(garden, s0=s0, d0=1e16)
    assert (s == s0).all()
    assert np.isinf(df).all()
    assert_allclose(near_se, se, rtol=1e-6)
    assert_allclose(t_quantile(0.95, near_df), t_quantile(0.95, df), rtol=1e-6)
    assert_allclose(se, s0 / np.sqrt(lines.sxx))
    assert near.rss.shape == lines.rss.shape


@SETTINGS
@given(gardens(least=3))
def test_no_prior_knowledge_is_ordinary_least_squares(garden) -> None:
    lines, s, df, _ = fit(garden, d0=0.0)
    assert_allclose(s**2 * lines.df, lines.rss, rtol=1e-10)
    assert (df == lines.df).all()


@SETTINGS
@given(values, values, st.floats(0.01, 10), st.floats(1, 20))
def test_two_reports_differ_by_the_reference_change_value(a, b, s0, d0) -> None:
    lines, _, df, se = fit(([0, 0], np.array([2020.0, 2021.0]), np.array([a, b])), s0=s0, d0=d0)
    assert lines.slope[0] == pytest.approx(b - a, abs=1e-10)
    assert t_quantile(0.95, df)[0] * se[0] == pytest.approx(t_quantile(0.95, d0) * np.sqrt(2) * s0)


@SETTINGS
@given(gardens(least=3), st.floats(0.1, 10))
def test_moderated_noise_lies_between_residuals_and_prior(garden, s0: float) -> None:
    lines, s, _, _ = fit(garden, s0=s0)
    raw = np.sqrt(lines.rss / lines.df)
    assert (s >= np.minimum(raw, s0) * (1 - 1e-12)).all()
    assert (s <= np.maximum(raw, s0) * (1 + 1e-12)).all()


@SETTINGS
@given(gardens(), st.integers(1, 3))
def test_a_report_alone_in_its_segment_says_nothing_about_the_slope(garden, copies: int) -> None:
    series, x, y = garden
    lines, _, df, se = fit(garden)
    more = np.zeros(copies, dtype=int)
    segment = np.r_[series, series.max() + 1 + np.arange(copies)]
    wide = (np.r_[series, more], np.r_[x, 2030.0 + np.arange(copies)], np.r_[y, np.full(copies, 1e3)])
    with_lone, _, df_lone, se_lone = fit(wide, segment=segment)
    assert_allclose(with_lone.slope, lines.slope, atol=1e-10)
    assert_allclose(se_lone, se, rtol=1e-9)
    assert_allclose(df_lone, df)


@SETTINGS
@given(gardens(), st.floats(-1e3, 1e3))
def test_a_new_level_after_a_break_is_free(garden, jump: float) -> None:
    series, x, y = garden
    _, segment = np.unique(2 * series + (x > 2014), return_inverse=True)
    before, _, _, se = fit(garden, segment=segment)
    after, _, _, se_after = fit((series, x, y + jump * (x > 2014)), segment=segment)
    assert_allclose(after.slope, before.slope, atol=1e-7, equal_nan=True)
    assert_allclose(se_after, se, rtol=1e-6, equal_nan=True)


@SETTINGS
@given(gardens())
def test_weight_zero_is_not_there(garden) -> None:
    series, x, y = garden
    out = np.arange(len(y)) % 3 == 2
    used, _, _, se = fit((series[~out], x[~out], y[~out])) if (~out).any() else (None, None, None, None)
    weighed, _, _, se_weighed = fit(garden, weight=(~out).astype(float))
    count = used.slope.size
    assert_allclose(weighed.slope[:count], used.slope, atol=1e-9, equal_nan=True)
    assert_allclose(se_weighed[:count], se, rtol=1e-8, equal_nan=True)


def test_weight_two_is_the_same_report_twice() -> None:
    x, y = np.array([1.0, 2, 4, 5]), np.array([1.0, 1.4, 1.3, 2.0])
    weighed = fit_lines(np.zeros(4, int), x, y, weight=[1, 2, 1, 1])
    doubled = fit_lines(np.zeros(5, int), x[[0, 1, 1, 2, 3]], y[[0, 1, 1, 2, 3]])
    assert_allclose([weighed.slope, weighed.sxx, weighed.rss], [doubled.slope, doubled.sxx, doubled.rss])


@pytest.mark.parametrize(
    ("series", "x", "y", "segment"),
    [
        ([0], [2020.0], [4.0], None),
        ([0, 0], [2020.0, 2020.0], [4.0, 5.0], None),
        ([0, 0, 0], [2015.1, 2015.1, 2015.1], [1.0, 2.0, 3.0], None),
        ([0, 0], [2020.0, 2021.0], [4.0, 5.0], [0, 1]),
    ],
)
def test_no_slope_where_nothing_can_be_compared(series, x, y, segment) -> None:
    lines = fit_lines(series, x, y, segment=segment)
    _, _, se = moderate(lines, 1.0, 4.0)
    assert np.isnan(lines.slope).all()
    assert np.isnan(se).all()
    assert lines.df.tolist() == [0.0]
    assert np.isnan(p_values(lines.slope, se, 4.0)).all()
    fitted, width = band(lines, np.zeros(1, int) if segment is None else segment[:1], x[:1], [1.0])
    assert np.isnan(fitted).all()
    assert np.isnan(width).all()


def test_no_rows_make_no_series() -> None:
    lines = fit_lines([], [], [])
    assert lines.slope.size == 0
    assert [part.size for part in moderate(lines, 1.0, 4.0)] == [0, 0, 0]
    assert pooled_noise([], [], [], [], 4.0)[0].size == 0


@pytest.mark.parametrize("bad", [np.nan, np.inf])
@pytest.mark.parametrize("where", ["x", "y", "weight"])
def test_numbers_that_are_not_finite_are_refused(bad: float, where: str) -> None:
    given = {"x": [0.0, 1.0], "y": [1.0, 2.0], "weight": [1.0, 1.0]}
    given[where] = [bad, 1.0]
    with pytest.raises(ValueError, match="finite"):
        fit_lines([0, 0], given["x"], given["y"], weight=given["weight"])


def test_arrays_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="same length"):
        fit_lines([0, 0], [0.0, 1.0], [1.0])


def test_equal_values_have_a_flat_line_and_the_prior_noise() -> None:
    lines, s, df, se = fit(([0] * 5, np.arange(2015.0, 2020), np.full(5, 1.386)), s0=0.1)
    assert lines.slope[0] == 0
    assert lines.rss[0] == 0
    assert s[0] == pytest.approx(np.sqrt(4 * 0.01 / 7))
    assert p_values(lines.slope, se, df)[0] == 1.0


def test_noise_stated_as_nothing_known_gives_no_interval_from_two_reports() -> None:
    _, s, df, se = fit(([0, 0], np.array([0.0, 1.0]), np.array([1.0, 2.0])), d0=0.0)
    assert np.isnan(s).all()
    assert df.tolist() == [0.0]
    assert np.isnan(t_quantile(0.95, df)).all()
    assert np.isnan(p_values([1.0], se, df)).all()


def test_far_tails_keep_their_digits() -> None:
    assert two_sided_p(40.0, np.inf) == pytest.approx(7.31e-350, abs=1e-300)
    assert 0 < two_sided_p(30.0, np.inf) < 1e-190
    assert two_sided_p(100.0, 10) == pytest.approx(2.4825e-16, rel=1e-3)


@SETTINGS
@given(gardens(least=4))
def test_an_odd_value_is_judged_by_the_line_of_the_others(garden) -> None:
    """The definition: refit without the row, and compare with the prediction of the rest."""
    series, x, y = garden
    lines, _, _, _ = fit(garden)
    t, p = leave_one_out(lines, series, x, s0=1.0, d0=4.0)
    for row in range(min(len(y), 6)):
        rest = np.arange(len(y)) != row
        without, s, df, _ = fit((series[rest], x[rest], y[rest]))
        i = series[row]
        fitted, se = band(without, [i], [x[row]], s)
        expected = (y[row] - fitted[0]) / np.hypot(se[0], s[i])
        assert t[row] == pytest.approx(expected, rel=1e-6, abs=1e-7)
        assert p[row] == pytest.approx(min(two_sided_p(expected, df[i]) * lines.n[i], 1), rel=1e-5, abs=1e-12)


def test_three_reports_in_line_with_two_of_them_are_no_odd_value_without_freedom() -> None:
    lines = fit_lines([0, 0], [0.0, 1.0], [1.0, 9.0])
    t, p = leave_one_out(lines, [0, 0], [0.0, 1.0], s0=1.0, d0=4.0)
    assert np.isnan(t).all()
    assert np.isnan(p).all()


def test_scatter_says_nothing_about_two_reports() -> None:
    lines = fit_lines([0, 0], [0.0, 1.0], [1.0, 9.0])
    assert all(np.isnan(part).all() for part in scatter(lines, 1.0, 4.0))


# --- Theil-Sen and Mann-Kendall --------------------------------------------------------------------------

SMALL = st.lists(st.integers(0, 5), min_size=2, max_size=9)


@SETTINGS
@given(SMALL)
def test_kendall_s_and_p_turn_with_time(y) -> None:
    x = np.arange(len(y))
    ties = tuple(np.unique(y, return_counts=True)[1].tolist())
    s = int(kendall_s(x, y)[0])
    assert kendall_s(x, y[::-1])[0] == -s
    assert theil_sen(x, y[::-1])[0] == -theil_sen(x, y)[0]
    assert 0 < exact_p(s, [ties]) <= 1


@SETTINGS
@given(SMALL)
def test_null_counts_are_all_arrangements(y) -> None:
    from math import factorial, prod

    ties = tuple(np.unique(y, return_counts=True)[1].tolist())
    counts = null_counts(ties)
    assert sum(counts) == factorial(len(y)) // prod(factorial(t) for t in ties)
    assert counts == counts[::-1]
    assert min(counts) > 0


def test_exact_p_of_forty_reports_is_exact() -> None:
    """Whole numbers throughout: the rarest arrangement of 40 reports still has its own p value."""
    from math import factorial

    assert exact_p(780, [(1,) * 40]) == pytest.approx(2 / factorial(40), rel=1e-12)


def test_pairs_of_different_segments_are_not_compared() -> None:
    x, y, segment = [0, 1, 2, 3], [1.0, 2.0, 10.0, 9.0], [0, 0, 1, 1]
    assert kendall_s(x, y, segment)[0] == 0
    assert theil_sen(x, y, segment)[0] == 0.0
    assert np.isnan(theil_sen([0, 1], [1.0, 2.0], [0, 1])[0])


# --- censoring -------------------------------------------------------------------------------------------


@SETTINGS
@given(st.lists(st.tuples(values, st.integers(-1, 0)), min_size=4, max_size=9), st.floats(0.2, 5))
def test_censored_fit_is_at_the_top_of_its_likelihood(rows, sigma) -> None:
    y, side = np.array([v for v, _ in rows]), np.array([c for _, c in rows])
    assume((side == 0).sum() >= 2)
    x = np.arange(len(y), dtype=float)
    found = fit_censored(x, y, side, sigma)
    for shift in ([1e-3, 0], [-1e-3, 0], [0, 1e-3], [0, -1e-3]):
        from scipy.stats import norm

        z = (y - found.levels[0] - shift[0] - (found.slope + shift[1]) * x) / sigma
        other = np.where(side == 0, norm.logpdf(z) - np.log(sigma), norm.logcdf(z)).sum()
        assert other <= found.loglik + 1e-9 * max(1, abs(found.loglik))


def test_a_limit_far_above_says_nothing() -> None:
    """'< 100' where the line is at 1 leaves the fit of the measured values as it is."""
    x, y = np.arange(5.0), np.array([1.0, 1.2, 100.0, 1.3, 1.6])
    side = np.array([0, 0, -1, 0, 0])
    alone = fit_censored(x[side == 0], y[side == 0], side[side == 0], 0.2)
    found = fit_censored(x, y, side, 0.2)
    assert (found.slope, found.slope_se) == pytest.approx((alone.slope, alone.slope_se), rel=1e-9)


@pytest.mark.parametrize(
    ("side", "segment"),
    [([-1, -1, -1], [0, 0, 0]), ([0, -1, -1], [0, 0, 0]), ([0, 0, -1], [0, 1, 0])],
)
def test_too_few_measured_values_have_no_censored_slope(side, segment) -> None:
    with pytest.raises(ValueError, match="measured"):
        fit_censored([0.0, 1.0, 2.0], [1.0, 1.0, 1.0], side, 0.2, segment)


@SETTINGS
@given(st.lists(st.tuples(st.floats(0, 5), st.booleans()), min_size=3, max_size=8), st.randoms())
def test_bounds_hold_whatever_the_hidden_values_were(rows, random) -> None:
    x = np.arange(len(rows), dtype=float)
    high = np.array([v for v, _ in rows])
    low = np.where([hidden for _, hidden in rows], 0.0, high)
    least, most = slope_bounds(x, low, high)
    for _ in range(5):
        y = np.array([random.uniform(a, b) for a, b in zip(low, high, strict=True)])
        slope = fit_lines(np.zeros(len(x), int), x, y).slope[0]
        assert least - 1e-9 <= slope <= most + 1e-9


def test_bounds_need_two_dates() -> None:
    assert np.isnan(slope_bounds([1.0], [0.0], [1.0])).all()


# --- learning the noise, power, many questions -----------------------------------------------------------


def test_no_other_bed_teaches_nothing() -> None:
    factor, d0 = pooled_noise([9.0, 2.0], [3.0, 2.0], [0, 1], [0, 0], 4.0)
    assert factor.tolist() == [1.0, 1.0]
    assert d0.tolist() == [4.0, 4.0]


def test_a_bed_never_teaches_itself() -> None:
    """Two series of one bed, by two methods: each is left as it was stated."""
    factor, _ = pooled_noise([40.0, 40.0], [3.0, 3.0], [0, 0], [7, 7], 4.0)
    assert factor.tolist() == [1.0, 1.0]


def test_the_update_is_the_formula_and_the_cap_holds() -> None:
    ratio, df = np.array([3.0, 6.0, 2.0]), np.array([3.0, 4.0, 2.0])
    factor, d0 = pooled_noise(ratio, df, [0, 0, 0], [0, 1, 2], 4.0)
    assert factor**2 == pytest.approx([(4 + 8) / (4 + 6), (4 + 5) / (4 + 5), (4 + 9) / (4 + 7)])
    assert d0.tolist() == [10.0, 9.0, 11.0]
    _, capped = pooled_noise(np.repeat(ratio, 5), np.repeat(df, 5), np.zeros(15, int), np.arange(15), 4.0)
    assert set(capped.tolist()) == {12.0}


def test_a_figure_known_better_than_the_cap_stays_known() -> None:
    _, d0 = pooled_noise([3.0, 6.0], [3.0, 4.0], [0, 0], [0, 1], [30.0, np.inf])
    assert d0.tolist() == [30.0, np.inf]


def test_one_misread_bed_does_not_make_the_others_noisy() -> None:
    """A unit mix-up in one of twelve beds: RSS 500 times the stated noise."""
    ratio = np.r_[np.full(11, 4.0), 500.0]
    factor, _ = pooled_noise(ratio, np.full(12, 4.0), np.zeros(12, int), np.arange(12), 4.0)
    assert factor[:11].max() < 1.25
    assert np.sqrt((4 + 540) / 48) > 3  # what it would have been


def test_noise_twice_the_stated_is_learned_in_full() -> None:
    ratio = np.full(12, 16.0)
    factor, _ = pooled_noise(ratio, np.full(12, 4.0), np.zeros(12, int), np.arange(12), 4.0)
    assert factor == pytest.approx(np.sqrt((4 + 176) / 48))


@SETTINGS
@given(st.floats(1, 20), st.integers(0, 13), st.floats(0, 8))
def test_power_grows_with_the_change_and_starts_below_the_level(d0, d, delta) -> None:
    assert 0 <= power(0.0, d0, d) <= 0.0501
    assert power(delta, d0, d) <= power(delta + 0.5, d0, d) + 1e-12


@SETTINGS
@given(st.floats(1, 20), st.integers(0, 13), st.floats(0.3, 4))
def test_coverage_is_the_complement_of_power_at_no_change(d0, d, k) -> None:
    assert coverage(d0, d, k=k) == pytest.approx(1 - power(0.0, d0, d, k=k), abs=1e-10)


@SETTINGS
@given(st.floats(1, 20), st.integers(0, 13))
def test_the_smallest_detectable_change_is_shown_with_the_chance_asked(d0, d) -> None:
    assert power(detectable_delta(d0, d), d0, d) == pytest.approx(0.8, abs=1e-9)
    total = smallest_detectable(2.0, 0.1, d0, d, 3.0)
    assert power(total / 3 * np.sqrt(2) / 0.1, d0, d) == pytest.approx(0.8, abs=1e-9)


def test_nothing_is_detectable_without_two_dates_or_any_noise_figure() -> None:
    assert np.isnan(smallest_detectable([0.0, 2.0], 0.1, [4, 0], [0, 0], 1.0)).all()


@SETTINGS
@given(st.lists(st.floats(0, 1), min_size=1, max_size=40))
def test_adjusted_p_values_keep_the_order_and_never_shrink(p) -> None:
    adjusted = benjamini_hochberg(p)
    assert (adjusted >= np.array(p) - 1e-15).all()
    assert (adjusted <= 1).all()
    order = np.argsort(p, kind="stable")
    assert (np.diff(adjusted[order]) >= -1e-15).all()


def test_missing_p_values_do_not_count_in_the_family() -> None:
    adjusted = benjamini_hochberg([0.01, np.nan, 0.04])
    assert adjusted[[0, 2]].tolist() == [0.02, 0.04]
    assert np.isnan(adjusted[1])
    assert benjamini_hochberg([]).size == 0
