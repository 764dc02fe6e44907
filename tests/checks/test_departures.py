"""Departures on plain arrays, against generalised least squares of statsmodels and limma's formula."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from soiltrend.checks.anomalies import chance_of_squares
from soiltrend.checks.departures import fit, from_others, moderate, patterns, precision

TIMES = np.array([0.0, 1.0, 2.1, 3.0, 4.2, 5.0])
VARIANCE = np.array([0.01, 0.01, 0.02, 0.01, 0.03, 0.01])


def covariance(drift, groups=None, group_sd=0.0):
    centred = TIMES - TIMES.mean()
    v = np.diag(VARIANCE) + drift**2 * np.outer(centred, centred)
    return v if groups is None else v + group_sd**2 * (groups[:, None] == groups[None, :])


@pytest.mark.parametrize("drift", [0.0, 0.03, 0.5])
def test_size_and_error_equal_generalised_least_squares(drift):
    y = np.random.default_rng(1).normal(size=6)
    shapes = patterns(6)
    fits = fit(precision(TIMES, VARIANCE, drift), shapes.x, y[:, None])
    for c in range(shapes.at.size):
        design = np.column_stack([np.ones(6), shapes.x[:, c]])
        theirs = sm.GLS(y, design, sigma=covariance(drift)).fit()
        assert fits.size[c, 0] == pytest.approx(theirs.params[1], rel=1e-9)
        assert fits.unit_se[c, 0] == pytest.approx(np.sqrt(theirs.normalized_cov_params[1, 1]), rel=1e-9)
        assert fits.left[c, 0] == pytest.approx(theirs.ssr, rel=1e-9)


def test_laboratories_with_levels_of_their_own_equal_generalised_least_squares():
    y, groups = np.random.default_rng(2).normal(size=6), np.array([0, 0, 0, 1, 1, 1])
    p = precision(TIMES, VARIANCE, 0.03, groups, 0.2)
    x = (TIMES >= 3).astype(float)[:, None]
    theirs = sm.GLS(y, np.column_stack([np.ones(6), x]), sigma=covariance(0.03, groups, 0.2)).fit()
    assert fit(p, x, y[:, None]).size[0, 0] == pytest.approx(theirs.params[1])


def test_a_single_report_apart_is_the_leave_one_out_residual():
    y = np.array([1.0, 1.1, 0.9, 3.0, 1.0, 1.05])
    fits = fit(precision(TIMES, np.full(6, 0.01), 0.0), patterns(6).x, y[:, None])
    assert fits.size[3, 0] == pytest.approx(3.0 - np.delete(y, 3).mean())


@pytest.mark.parametrize(("n", "count"), [(1, 0), (2, 1), (3, 3), (4, 5), (6, 9), (15, 27)])
def test_every_departure_is_looked_for_once(n, count):
    shapes = patterns(n)
    assert shapes.x.shape == (n, count)
    centred = shapes.x - shapes.x.mean(axis=0)
    same = np.abs(np.corrcoef(centred.T)) if count > 1 else np.eye(1)
    assert (np.triu(same, 1) < 1 - 1e-9).all()


def test_the_noise_is_moderated_as_limma_does():
    # Smyth 2004: (d0 s0² + d s²) / (d0 + d), here with s0² = 1 in units of the stated noise.
    y = np.random.default_rng(3).normal(size=(6, 4))
    fits = fit(precision(TIMES, np.ones(6), 0.0), patterns(6).x, y)
    moderated = moderate(fits, np.ones((1, 4)), np.full((1, 4), 4.0))
    expected = np.sqrt((4.0 + fits.left) / (4.0 + 4.0)) * fits.unit_se
    assert np.allclose(moderated.se, expected)
    assert (moderated.df == 8.0).all()


@pytest.mark.parametrize(
    ("df", "up", "down"), [(1e9, 0.362, -0.266), (4.0, 0.55, -0.35)], ids=["known noise", "d0 = 4"]
)
def test_two_reports_have_the_reference_change_value(df, up, down):
    # Fraser 2012, Clin. Chem. Lab. Med. 50:807, log-normal: 5 % laboratory, 10 % sampling, +36.2 / -26.6 %;
    # with four degrees of freedom +55 / -35 % (the same formula with t instead of z, derived).
    variance = np.full(2, np.log1p(0.05**2 + 0.10**2))
    fits = fit(precision(np.array([0.0, 1.0]), variance, 0.0), patterns(2).x, np.zeros((2, 1)))
    reach = stats.t.ppf(0.975, df) * float(fits.unit_se[0, 0])
    assert np.expm1([reach, -reach]) == pytest.approx([up, down], abs=0.005)


def test_other_series_scale_the_noise_and_one_wild_one_does_not():
    rng = np.random.default_rng(4)
    spread = 4.0 * rng.chisquare(5, size=(1, 200))
    spread[0, :20] = 1e6
    prior, weight = from_others(spread, np.full((1, 200), 5.0), 4.0)
    assert prior[0, 100] == pytest.approx(4.0, rel=0.35)
    assert weight.max() == 12.0  # the cap of the trends


def test_without_others_the_stated_noise_stands():
    prior, weight = from_others(np.array([[9.0]]), np.array([[5.0]]), 4.0)
    assert prior[0, 0] == 1.0
    assert weight[0, 0] == 4.0


@pytest.mark.parametrize("k", [0.7, 1.0, 1.5])
def test_scores_of_flat_series_follow_t(k):
    rng = np.random.default_rng(5)
    y = k * 0.1 * rng.normal(size=(6, 4000))
    fits = fit(precision(TIMES, np.full(6, 0.01), 0.0), patterns(6).x, y)
    prior, weight = from_others(fits.spread[None, :400], fits.free[None, :400], 4.0)
    part = moderate(
        type(fits)(fits.size[:, :400], fits.unit_se, fits.left[:, :400], fits.spread[:400], fits.free[:400]),
        prior,
        weight,
    )
    p = 2 * stats.t.sf(np.abs(part.score[0]), part.df[0])
    assert stats.kstest(p, "uniform").pvalue > 0.001


@pytest.mark.parametrize("dfs", [[16.0] * 9, [6.0] * 5, [16.0, 8.0, 12.0, 30.0], [1e7] * 4], ids=str)
def test_the_chance_of_a_round_is_that_of_independent_t_values(dfs):
    draws = np.random.default_rng(10).standard_t(np.array(dfs), size=(100_000, len(dfs)))
    means = (draws**2).mean(axis=1)
    for tail in (0.2, 0.05, 0.01):
        said = chance_of_squares([float(np.quantile(means, 1 - tail))] * len(dfs), dfs)
        assert said == pytest.approx(tail, rel=0.25)
