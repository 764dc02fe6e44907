"""Error rates and power of the comparison against the tables of this project's own simulations.

Tables 4, 6, 6b and 11 there were made with other code (numpy and R); here they are reproduced by quadrature
where that is exact, else by a seeded simulation within its own error.
"""

import numpy as np
import pytest
from scipy import stats

from soiltrend.comparison.twogroup import permutation, two_group
from soiltrend.regression import fit_lines, log_sd, moderate, p_values
from soiltrend.regression import power as known_noise_power

NOISE = 0.10
GARDENS = 2500
RISE = float(np.log(1.08))


def slope_variance(years: int, noise: float = NOISE) -> float:
    time = np.arange(years)
    return float(noise**2 / np.sum((time - time.mean()) ** 2))


def simulated_slopes(
    a: int, b: int, years: int, *, tau: float = 0.03, difference: float = 0.0, seed: int
) -> np.ndarray:
    """Bed slopes of many gardens, one per row; the year effect is the same for all beds of a garden."""
    random = np.random.default_rng(seed)
    noise = np.sqrt(slope_variance(years) + tau**2) * random.standard_normal((GARDENS, a + b))
    shared = np.sqrt(slope_variance(years, 0.05)) * random.standard_normal((GARDENS, 1))
    return noise + shared + difference * (np.arange(a + b) < a)


def near(percent: float) -> float:
    """Three standard errors of this simulation, and the error and rounding of the table."""
    share = min(max(percent, 0.5), 99.5) / 100
    return 3 * np.sqrt(share * (1 - share) / GARDENS) + 0.006


@pytest.mark.parametrize(("beds", "false"), [(5, 14), (10, 26), (30, 49)])
def test_beds_are_not_replicates_of_the_garden(beds: int, false: float) -> None:
    """Table 4, exact: a t test over m bed slopes is too small by sqrt(1 + m year^2 / noise^2)."""
    limit = stats.t.ppf(0.975, beds - 1) / np.sqrt(1 + beds * 0.05**2 / NOISE**2)
    assert 100 * 2 * stats.t.sf(limit, beds - 1) == pytest.approx(false, abs=0.6)


@pytest.mark.parametrize("beds", [5, 10, 30])
def test_yearly_means_hold_the_error_of_the_garden(beds: int) -> None:
    """Table 4: known-noise on yearly means, s0 = sqrt(year^2 + noise^2 / beds), is false in 1 to 4 %."""
    random, years, gardens = np.random.default_rng(4), 5, 4000
    s0 = np.hypot(0.05, NOISE / np.sqrt(beds))
    means = s0 * random.standard_normal((gardens, years))
    series, time = np.divmod(np.arange(gardens * years), years)
    lines = fit_lines(series, time.astype(float), means.ravel())
    _, df, se = moderate(lines, np.full(gardens, s0), np.full(gardens, 4.0))
    false = np.mean(p_values(lines.slope, se, df) < 0.05)
    assert 0.01 <= false <= 0.04


@pytest.mark.parametrize(
    ("beds", "years", "pooled", "by_lot", "power"),
    [
        ((2, 2), 4, 4.8, 0.0, 14),
        ((3, 3), 4, 5.0, 0.0, 26),
        ((4, 4), 4, 4.9, 2.8, 40),
        ((5, 5), 4, 4.9, 4.6, 52),
        ((3, 9), 4, 4.9, 4.9, 49),
        ((3, 3), 8, 5.2, 0.0, 56),
    ],
)
def test_false_alarms_and_power_of_the_pooled_t(
    beds: tuple[int, int], years: int, pooled: float, by_lot: float, power: float
) -> None:
    """Table 6: bed slopes spread 3 %/yr, no difference, then +8 %/yr."""
    a, b = beds
    treated = np.arange(a + b) < a
    for difference, expected in ((0.0, pooled), (RISE, power)):
        rows = simulated_slopes(a, b, years, difference=difference, seed=6)
        tests = [two_group(row, np.eye(a + b), treated, prior_df=0) for row in rows]
        shown = np.mean([found is not None and found.p_value < 0.05 for found in tests])
        assert shown == pytest.approx(expected / 100, abs=near(expected))
    rows = simulated_slopes(a, b, years, seed=7)[:800]
    lot = np.mean([permutation(row, treated).p_value < 0.05 for row in rows])
    assert lot == pytest.approx(by_lot / 100, abs=0.02 if by_lot else 0)


MODERATED = [
    (1, 1, 4, (0.1, 0.6, 4.6), 4),
    (1, 3, 4, (0.8, 2.0, 6.6), 13),
    (2, 2, 4, (0.9, 2.1, 6.6), 18),
    (3, 3, 4, (1.5, 3.2, 6.8), 31),
    (5, 5, 4, (2.8, 4.1, 6.6), 54),
    (3, 3, 8, (0.0, 3.1, 10.1), 69),
    (10, 10, 4, (3.7, 4.7, 6.1), 87),
]


@pytest.mark.parametrize(("a", "b", "years", "false", "power"), MODERATED)
def test_table_6b_by_quadrature(
    a: int, b: int, years: int, false: tuple[float, float, float], power: float
) -> None:
    """Table 6b: the moderated test knows its error exactly: power(delta, d0=4, d=m-2) at k = true/stated."""
    stated = np.sqrt(slope_variance(years, log_sd(NOISE)) + 0.03**2)
    for tau, expected in zip((0.0, 0.03, 0.06), false, strict=True):
        k = np.sqrt(slope_variance(years, log_sd(NOISE)) + tau**2) / stated
        found = float(known_noise_power(0.0, 4, a + b - 2, k=float(k)))
        assert 100 * found == pytest.approx(expected, abs=0.7)
    delta = RISE / (stated * np.sqrt(1 / a + 1 / b))
    assert 100 * float(known_noise_power(delta, 4, a + b - 2)) == pytest.approx(power, abs=1.5)


@pytest.mark.parametrize(("a", "b", "years", "false", "power"), MODERATED[1:4])
def test_table_6b_by_the_code_that_is_shipped(
    a: int, b: int, years: int, false: tuple[float, float, float], power: float
) -> None:
    treated = np.arange(a + b) < a
    covariance = slope_variance(years) * np.eye(a + b)
    for difference, expected in ((0.0, false[1]), (RISE, power)):
        rows = simulated_slopes(a, b, years, difference=difference, seed=8)
        tests = [two_group(row, covariance, treated, prior_df=4, tau0=0.03) for row in rows]
        shown = np.mean([found is not None and found.p_value < 0.05 for found in tests])
        assert shown == pytest.approx(expected / 100, abs=near(expected))
