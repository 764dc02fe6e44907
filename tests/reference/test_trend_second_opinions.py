"""Every column of a trend against another library's answer on the same numbers."""

import itertools
import warnings

import GTC
import numpy as np
import pymannkendall
import pytest
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.multitest import multipletests

from soiltrend.regression import (
    band,
    benjamini_hochberg,
    exact_p,
    fit_censored,
    fit_lines,
    kendall_s,
    leave_one_out,
    moderate,
    p_values,
    power,
    scatter,
    t_quantile,
    theil_sen,
)


@pytest.fixture(scope="module")
def garden():
    """200 series of 3 to 15 yearly reports with real calendar years, some years missing."""
    rng = np.random.default_rng(20)
    series, x, y = [], [], []
    for i in range(200):
        n = int(rng.integers(3, 16))
        years = np.sort(rng.choice(np.arange(2005, 2026), n, replace=False)) + rng.uniform(0, 0.3, n)
        series.append(np.full(n, i))
        x.append(years)
        y.append(np.log(4) + rng.normal(0, 0.03) * (years - 2015) + rng.normal(0, 0.1, n))
    return np.concatenate(series), np.concatenate(x), np.concatenate(y)


def each(garden):
    series, x, y = garden
    for i in range(series.max() + 1):
        own = series == i
        yield i, x[own] - 2015, y[own]


def test_ordinary_least_squares_is_statsmodels(garden) -> None:
    series, x, y = garden
    lines = fit_lines(series, x - 2015, y)
    s, df, se = moderate(lines, 1.0, 0.0)
    p = p_values(lines.slope, se, df)
    reach = t_quantile(0.95, df) * se
    fitted, fitted_se = band(lines, series, x - 2015, s)
    odd, _ = leave_one_out(lines, series, x - 2015, s0=1.0, d0=0.0)
    for i, t, values in each(garden):
        other = sm.OLS(values, sm.add_constant(t)).fit()
        own = series == i
        assert lines.slope[i] == pytest.approx(other.params[1], rel=1e-9, abs=1e-13)
        assert se[i] == pytest.approx(other.bse[1], rel=1e-9)
        assert p[i] == pytest.approx(other.pvalues[1], rel=1e-8, abs=1e-15)
        assert lines.rss[i] == pytest.approx(other.ssr, rel=1e-9)
        assert df[i] == other.df_resid
        assert (lines.slope[i] - reach[i], lines.slope[i] + reach[i]) == pytest.approx(
            tuple(other.conf_int(0.05)[1]), rel=1e-8, abs=1e-12
        )
        at = other.get_prediction()
        assert fitted[own] == pytest.approx(at.predicted_mean, rel=1e-9)
        assert fitted_se[own] == pytest.approx(at.se_mean, rel=1e-8)
        if t.size > 3:
            studentised = other.get_influence().resid_studentized_external
            assert odd[own] == pytest.approx(studentised, rel=1e-6, abs=1e-9)


def test_ordinary_least_squares_is_scipy(garden) -> None:
    series, x, y = garden
    lines = fit_lines(series, x, y)
    _, df, se = moderate(lines, 1.0, 0.0)
    p = p_values(lines.slope, se, df)
    for i, t, values in each(garden):
        other = stats.linregress(t, values)
        assert (lines.slope[i], se[i], p[i]) == pytest.approx(
            (other.slope, other.stderr, other.pvalue), rel=1e-7, abs=1e-13
        )


def test_known_noise_is_statsmodels_fixed_scale(garden) -> None:
    """cov_type 'fixed scale' takes the stated variances as known."""
    series, x, y = garden
    rng = np.random.default_rng(1)
    weight = rng.uniform(0.3, 3, series.size)
    lines = fit_lines(series, x - 2015, y, weight=weight)
    _, df, se = moderate(lines, 0.1, np.inf)
    p = p_values(lines.slope, se, df)
    for i, t, values in each(garden):
        model = sm.WLS(values, sm.add_constant(t), weights=weight[series == i] / 0.01)
        other = model.fit(cov_type="fixed scale")
        assert (lines.slope[i], se[i]) == pytest.approx((other.params[1], other.bse[1]), rel=1e-9, abs=1e-13)
        assert p[i] == pytest.approx(other.pvalues[1], rel=1e-8, abs=1e-300)


def test_levels_of_their_own_are_dummy_columns(garden) -> None:
    """A laboratory change: one slope, one level per segment, as statsmodels with a dummy per segment."""
    series, x, y = garden
    segment = 2 * series + (x > 2014)
    _, segment = np.unique(segment, return_inverse=True)
    lines = fit_lines(series, x - 2015, y, segment=segment)
    s, df, se = moderate(lines, 1.0, 0.0)
    fitted, fitted_se = band(lines, segment, x - 2015, s)
    compared = 0
    for i, t, values in each(garden):
        own = series == i
        names, local = np.unique(segment[own], return_inverse=True)
        if names.size < 2 or lines.df[i] < 1:
            continue
        compared += 1
        other = sm.OLS(values, np.column_stack([np.eye(2)[local], t])).fit()
        assert (lines.slope[i], se[i]) == pytest.approx((other.params[2], other.bse[2]), rel=1e-8, abs=1e-13)
        assert df[i] == other.df_resid
        at = other.get_prediction()
        assert fitted[own] == pytest.approx(at.predicted_mean, rel=1e-9)
        assert fitted_se[own] == pytest.approx(at.se_mean, rel=1e-8)
    assert compared > 100


def test_known_noise_line_is_the_gum_tree_calculator() -> None:
    """GTC type_a.line_fit_wls: the reference implementation of the measurement standards laboratory."""
    x, y = np.arange(1.0, 7), [3.2, 4.3, 7.6, 8.6, 11.7, 12.8]
    u = np.array([0.5, 0.5, 0.5, 1, 1, 1])
    other = GTC.type_a.line_fit_wls(x.tolist(), y, u.tolist())
    lines = fit_lines(np.zeros(6, int), x, y, weight=1 / u**2)
    s, _, se = moderate(lines, 1.0, np.inf)
    level, level_se = band(lines, [0], [0.0], s)
    a, b = other.a_b
    assert (lines.slope[0], se[0]) == pytest.approx((b.x, b.u), rel=1e-10)
    assert (level[0], level_se[0]) == pytest.approx((a.x, a.u), rel=1e-10)
    assert lines.rss[0] == pytest.approx(other.ssr, rel=1e-10)


def test_scatter_check_is_an_f_test() -> None:
    x = np.arange(6.0)
    y = np.array([0.1, -0.2, 0.4, 0.0, -0.5, 0.3])
    lines = fit_lines(np.zeros(6, int), x, y)
    ratio, p = scatter(lines, 0.2, 4.0)
    f = sm.OLS(y, sm.add_constant(x)).fit().mse_resid / 0.04
    assert (ratio[0], p[0]) == pytest.approx((np.sqrt(f), stats.f.sf(f, 4, 4)), rel=1e-10)
    _, known = scatter(lines, 0.2, np.inf)
    assert known[0] == pytest.approx(stats.chi2.sf(4 * f, 4), rel=1e-10)


def test_theil_sen_is_scipy(garden) -> None:
    for _, t, values in each(garden):
        assert theil_sen(t, values)[0] == stats.theilslopes(values, t).slope


def test_exact_mann_kendall_is_scipys_exact_kendall(garden) -> None:
    for _, t, values in each(garden):
        other = stats.kendalltau(t, values, method="exact")
        s = int(kendall_s(t, values)[0])
        assert exact_p(s, [(1,) * t.size]) == pytest.approx(other.pvalue, abs=1e-14)


def test_mann_kendall_s_is_pymannkendall_and_its_p_is_only_normal() -> None:
    """S agrees with ties and without; its p is an approximation that is off at few years."""
    rng = np.random.default_rng(3)
    for n in range(4, 16):
        y = np.round(rng.normal(0, 2, n))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a constant series divides by zero there
            other = pymannkendall.original_test(y)
        assert kendall_s(np.arange(n), y)[0] == other.s
        if np.unique(y).size == n:
            assert theil_sen(np.arange(n), y)[0] == pytest.approx(other.slope, abs=1e-12)
    known = pymannkendall.original_test([5, 6, 11, 8, 10])
    assert known.p == pytest.approx(0.2207, abs=5e-5)
    assert exact_p(int(known.s), [(1,) * 5]) == pytest.approx(0.2333, abs=5e-5)


@pytest.mark.parametrize("n", range(3, 8))
def test_exact_p_with_ties_is_full_enumeration(n: int) -> None:
    rng = np.random.default_rng(n)
    for _ in range(4):
        y = rng.integers(0, 4, n)
        every = np.array(list(itertools.permutations(y)))
        s = kendall_s(np.tile(np.arange(n), (len(every), 1)), every)
        for value in np.unique(np.abs(s)):
            expected = np.mean(np.abs(s) >= value)
            ties = tuple(np.unique(y, return_counts=True)[1].tolist())
            assert exact_p(int(value), [ties]) == pytest.approx(expected, abs=1e-15)


def test_exact_p_of_two_segments_is_full_enumeration() -> None:
    """Only pairs of one laboratory are compared; the null is the convolution of both."""
    first, second = [1, 2, 2, 5], [3, 1, 4]
    segment = [0] * 4 + [1] * 3
    every = [[*a, *b] for a in itertools.permutations(first) for b in itertools.permutations(second)]
    s = kendall_s(np.tile(np.arange(7), (len(every), 1)), every, np.tile(segment, (len(every), 1)))
    for value in np.unique(np.abs(s)):
        assert exact_p(int(value), [(1, 2, 1), (1, 1, 1)]) == pytest.approx(np.mean(np.abs(s) >= value))


def test_benjamini_hochberg_is_statsmodels_and_scipy() -> None:
    rng = np.random.default_rng(7)
    for size in (1, 2, 17, 500):
        p = rng.uniform(0, 1, size) ** 3
        assert benjamini_hochberg(p) == pytest.approx(multipletests(p, method="fdr_bh")[1], rel=1e-12)
        assert benjamini_hochberg(p) == pytest.approx(stats.false_discovery_control(p), rel=1e-12)


@pytest.mark.parametrize("d", [1, 2, 4, 8, 13])
@pytest.mark.parametrize("delta", [0.0, 1.0, 2.5, 5.0])
def test_power_without_a_prior_is_the_noncentral_t(d: int, delta: float) -> None:
    factor = stats.t.ppf(0.975, d)
    expected = stats.nct.sf(factor, d, delta) + stats.nct.cdf(-factor, d, delta)
    assert power(delta, 0, d) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("delta", [0.0, 1.0, 2.8])
def test_power_with_known_noise_is_the_normal_one(delta: float) -> None:
    z = stats.norm.ppf(0.975)
    expected = stats.norm.sf(z - delta) + stats.norm.cdf(-z - delta)
    assert power(delta, np.inf, 5) == pytest.approx(expected, rel=1e-12)


def test_censored_fit_finds_the_top_of_scipys_likelihood() -> None:
    """Left- and right-censored values and two segments: scipy's own minimiser cannot do better."""
    from scipy.optimize import minimize

    rng = np.random.default_rng(11)
    x = np.arange(10.0)
    segment = (x > 4).astype(int)
    y = 1 + 0.15 * x + 0.5 * segment + rng.normal(0, 0.3, 10)
    side = np.array([-1, 0, -1, 0, 0, 0, 0, 1, 0, 0])

    def loss(beta):
        z = (y - beta[segment] - beta[2] * x) / 0.3
        parts = np.where(side == 0, stats.norm.logpdf(z) - np.log(0.3), stats.norm.logcdf(-side * z))
        return -parts.sum()

    fit = fit_censored(x, y, side, 0.3, segment)
    best = minimize(loss, [1.0, 1.5, 0.1], method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-13})
    assert fit.loglik == pytest.approx(-best.fun, abs=1e-9)
    assert [*fit.levels, fit.slope] == pytest.approx(best.x, abs=1e-4)


def test_censored_fit_without_censoring_is_least_squares() -> None:
    x, y = np.array([2015.0, 2016, 2018, 2019]), np.array([1.0, 1.3, 1.2, 1.9])
    fit = fit_censored(x, y, np.zeros(4), 0.2)
    lines = fit_lines(np.zeros(4, int), x, y)
    assert (fit.slope, fit.slope_se) == pytest.approx((lines.slope[0], 0.2 / np.sqrt(lines.sxx[0])), rel=1e-9)
