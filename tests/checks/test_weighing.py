"""The weight of one explanation: exact against scipy's multivariate t on contrasts of the level."""

import numpy as np
import pytest
from scipy import stats
from scipy.linalg import null_space

from soiltrend.checks.departures import precision
from soiltrend.checks.weighing import Line

TIMES = np.arange(6.0)
VARIANCE = np.full(6, 0.01)


def line(y, prior=1.3, weight=12.0, drift=0.03):
    return Line(np.arange(y.size), y, precision(TIMES, VARIANCE, drift), prior, weight)


def direct(y, x, effect, *, prior=1.3, weight=12.0, drift=0.03):
    """ln of the odds, with the level taken out by contrasts instead of being swept."""
    mean, sd = effect
    centred = TIMES - TIMES.mean()
    v = np.diag(VARIANCE) + drift**2 * np.outer(centred, centred)
    k = null_space(np.ones((1, 6))).T
    free = stats.multivariate_t(np.zeros(5), prior * k @ v @ k.T, df=weight)
    shape = prior * k @ (v + sd**2 / prior * np.outer(x, x)) @ k.T
    with_effect = stats.multivariate_t(k @ x * mean, shape, df=weight)
    return with_effect.logpdf(k @ y) - free.logpdf(k @ y)


@pytest.mark.parametrize("effect", [(0.83, 0.01), (0.0, 0.3), (-0.5, 0.0), (0.25, 0.25)])
@pytest.mark.parametrize("shape", [[0, 0, 1, 0, 0, 0], [0, 0, 0, 1, 1, 1], [0, 0, 0.5, 1, 1, 1]])
def test_the_odds_are_those_of_two_multivariate_t(effect, shape):
    x = np.array(shape, dtype=float)
    y = np.random.default_rng(6).normal(0, 0.1, 6) + 0.8 * x
    assert line(y).log_odds(x, *effect) == pytest.approx(direct(y, x, effect), rel=1e-6, abs=1e-8)


def test_an_explanation_that_fits_gains_and_one_that_does_not_loses():
    x = np.array([0, 0, 1.0, 0, 0, 0])
    y = np.log(2.29) * x
    assert line(y).log_odds(x, np.log(2.29), 0.01) > line(y).log_odds(x, np.log(2.0), 0.01) > 0
    assert line(0 * x).log_odds(x, np.log(2.29), 0.01) < 0


def test_a_pattern_that_the_reports_cannot_show_weighs_nothing():
    assert line(np.ones(6)).log_odds(np.ones(6), 1.0, 0.1) == 0.0


def test_the_same_data_in_another_unit_weigh_the_same():
    x = np.array([0, 0, 1.0, 0, 0, 0])
    y = np.array([0.1, -0.1, 0.9, 0.05, 0, 0])
    assert line(y + 7).log_odds(x, 0.8, 0.1) == pytest.approx(line(y).log_odds(x, 0.8, 0.1))
