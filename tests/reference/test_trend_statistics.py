"""Trend statistics against published data and certified numbers; the source stands beside each check."""

from pathlib import Path

import numpy as np
import pytest
import scipy.stats
import statsmodels.api as sm
from scipy.special import ndtri

from soiltrend.regression import (
    band,
    benjamini_hochberg,
    exact_p,
    fit_censored,
    fit_lines,
    kendall_s,
    log_sd,
    moderate,
    null_counts,
    p_values,
    reference_change,
    t_quantile,
    theil_sen,
)

NIST = Path(scipy.stats.__file__).parent / "tests" / "data"


def one(n: int) -> np.ndarray:
    return np.zeros(n, dtype=int)


def line(x, y, *, s0=1.0, d0=0.0, weight=1.0):
    """Slope, its SE, level at x = 0, its SE, residual SD and RSS of one series."""
    x, y = np.asarray(x, float), np.asarray(y, float)
    lines = fit_lines(one(x.size), x, y, weight=weight)
    s, df, se = moderate(lines, s0, d0)
    at_zero, se_zero = band(lines, [0], [0.0], s)
    return {
        "slope": lines.slope[0],
        "se": se[0],
        "level": at_zero[0],
        "level_se": se_zero[0],
        "s": s[0],
        "rss": lines.rss[0],
        "df": df[0],
        "p": p_values(lines.slope, se, df)[0],
    }


# --- NIST Statistical Reference Datasets; the files are inside the scipy wheel ---------------------------


def nist(name: str, first: int) -> np.ndarray:
    rows = (NIST / name).read_text().splitlines()[first - 1 :]
    return np.array([[float(cell) for cell in row.split()] for row in rows if row.strip()])


def test_norris_ozone_monitors_line_of_36_points() -> None:
    """NIST StRD Norris (lower difficulty); certified values from the file's own head."""
    y, x = nist("nist_linregress/Norris.dat", 61).T
    fit = line(x, y)
    assert y.size == 36
    assert fit["slope"] == pytest.approx(1.00211681802045, rel=1e-13)
    assert fit["se"] == pytest.approx(0.429796848199937e-03, rel=1e-12)
    assert fit["level"] == pytest.approx(-0.262323073774029, rel=1e-11)
    assert fit["level_se"] == pytest.approx(0.232818234301152, rel=1e-12)
    assert fit["s"] == pytest.approx(0.884796396144373, rel=1e-12)
    assert fit["rss"] == pytest.approx(26.6173985294224, rel=1e-12)
    assert (fit["slope"] / fit["se"]) ** 2 == pytest.approx(5436385.54079785, rel=1e-12)


def test_norris_does_not_lose_digits_when_x_is_far_from_zero() -> None:
    """The same data with x + 1e6, as calendar years are far from zero: the slope must not move."""
    y, x = nist("nist_linregress/Norris.dat", 61).T
    assert line(x + 1e6, y)["slope"] == pytest.approx(1.00211681802045, rel=1e-12)


def test_longley_year_coefficient_after_taking_the_other_columns_out() -> None:
    """NIST StRD Longley (higher difficulty): YEAR and its SD, by the Frisch-Waugh theorem."""
    data = sm.datasets.longley.load_pandas()
    others = data.exog.drop(columns="YEAR").to_numpy(float)
    others = np.column_stack([np.ones(len(others)), (others - others.mean(0)) / others.std(0)])
    q, _ = np.linalg.qr(others)
    x, y = (v - q @ (q.T @ v) for v in (data.exog["YEAR"].to_numpy(float), data.endog.to_numpy(float)))
    lines = fit_lines(one(x.size), x, y)
    assert lines.slope[0] == pytest.approx(1829.15146461355, rel=1e-8)
    assert np.sqrt(lines.rss[0] / (x.size - 7) / lines.sxx[0]) == pytest.approx(455.478499142212, rel=1e-8)


def test_silver_atomic_weight_two_instruments_with_seven_constant_digits() -> None:
    """NIST StRD AtmWtAg (analysis of variance, average difficulty): with two groups t² is F."""
    instrument, y = nist("nist_anova/AtmWtAg.dat", 61).T
    fit = line(instrument, y)
    assert y.size == 48
    assert fit["df"] == 46
    assert (fit["slope"] / fit["se"]) ** 2 == pytest.approx(1.59467335677930e01, rel=1e-7)
    assert fit["s"] == pytest.approx(1.51048314446410e-05, rel=1e-7)


# --- known noise: ISO/TS 28037:2010 and the GUM ---------------------------------------------------------


def test_iso_ts_28037_example_1_equal_known_noise() -> None:
    """ISO/TS 28037:2010 clause 6 example 1: u = 0.5 everywhere."""
    x, y = np.arange(1.0, 7), [3.3, 5.6, 7.1, 9.3, 10.7, 12.1]
    fit = line(x, y, s0=0.5, d0=np.inf)
    assert round(fit["slope"], 3) == 1.757
    assert fit["slope"] == pytest.approx(1.757142857142857, rel=1e-12)
    assert fit["se"] == pytest.approx(0.119522860933439, rel=1e-12)
    assert (round(fit["level"], 3), round(fit["level_se"], 3)) == (1.867, 0.465)
    assert fit["rss"] / 0.25 == pytest.approx(1.665, abs=5e-4)
    covariance = -x.mean() * fit["se"] ** 2
    assert covariance == pytest.approx(-0.05, rel=1e-12)


def test_iso_ts_28037_example_2_unequal_known_noise() -> None:
    """ISO/TS 28037:2010 clause 6 example 2: u = 0.5 three times, then 1."""
    u = np.array([0.5, 0.5, 0.5, 1, 1, 1])
    fit = line(np.arange(1.0, 7), [3.2, 4.3, 7.6, 8.6, 11.7, 12.8], s0=1.0, d0=np.inf, weight=1 / u**2)
    assert fit["slope"] == pytest.approx(2.05696202531646, rel=1e-12)
    assert fit["se"] == pytest.approx(0.177892016741205, rel=1e-12)
    assert fit["level"] == pytest.approx(0.885232067510549, rel=1e-12)
    assert fit["level_se"] == pytest.approx(0.529708143508836, rel=1e-12)
    assert fit["rss"] == pytest.approx(4.131, abs=5e-4)


def test_iso_ts_28037_annex_e_unknown_noise() -> None:
    """ISO/TS 28037:2010 Annex E: the noise comes from the residuals."""
    fit = line(np.arange(1.0, 7), [3.014, 5.225, 7.004, 9.061, 11.201, 12.762])
    assert (round(fit["slope"], 3), round(fit["se"], 3)) == (1.964, 0.041)
    assert (round(fit["level"], 3), round(fit["level_se"], 3)) == (1.172, 0.159)
    assert fit["rss"] == pytest.approx(0.116498285714, abs=5e-13)


def test_gum_h3_thermometer_calibration() -> None:
    """JCGM 100:2008 (GUM) Annex H.3, table H.6: correction of a thermometer, reference 20 °C."""
    t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    fit = line(np.array(t) - 20, b)
    assert fit["slope"] == pytest.approx(0.0021826977398872894, rel=1e-10)
    assert fit["se"] == pytest.approx(0.0006679387732278323, rel=1e-10)
    assert (round(fit["level"], 4), round(fit["level_se"], 4)) == (-0.1712, 0.0029)
    correlation = -(np.mean(t) - 20) * fit["se"] / fit["level_se"]
    assert round(correlation, 2) == -0.93


# --- Theil-Sen and Mann-Kendall --------------------------------------------------------------------------

SODIUM_YEARS = [89.6, 90.1, 90.8, 91.1, 92.1, 93.1, 94.1, 95.6, 96.1, 96.3]
SODIUM = [56, 53, 51, 55, 52, 60, 62, 59, 61, 63]


def test_epa_sodium_with_uneven_dates() -> None:
    """EPA Unified Guidance 2009, example 17-7: tau, Sen slope and line; the exact p as from R."""
    s = int(kendall_s(SODIUM_YEARS, SODIUM)[0])
    slope = theil_sen(SODIUM_YEARS, SODIUM)[0]
    assert s / 45 == pytest.approx(0.5555556, abs=1e-7)
    assert slope == pytest.approx(1.3333333, abs=1e-7)
    assert np.median(SODIUM) - slope * np.median(SODIUM_YEARS) == pytest.approx(-65.9666667, abs=1e-7)
    assert exact_p(s, [(1,) * 10]) == pytest.approx(0.02860946, abs=5e-9)


GILBERT = [20, 20, 20, 20, 15, 20, 20, 30, 27, 26, 23, 35, 25, 28, 70, 26, 24, 34, 32, 23, 50, 30]


def ties_of(values) -> tuple[int, ...]:
    return tuple(np.unique(values, return_counts=True)[1].tolist())


def test_gilbert_series_with_many_ties() -> None:
    """Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring, p. 212: S and Var(S).

    The exact p was found by the project; the book's normal approximation gives 0.001683.
    """
    s = int(kendall_s(np.arange(22), GILBERT)[0])
    counts = np.array(null_counts(ties_of(GILBERT)), dtype=float)
    values = len(counts) - 1 - 2 * np.arange(len(counts))
    assert s == 111
    assert (counts * values**2).sum() / counts.sum() == pytest.approx(1226.333, abs=5e-4)
    assert exact_p(s, [ties_of(GILBERT)]) == pytest.approx(0.001152, abs=5e-7)


@pytest.mark.parametrize(
    ("n", "tails"),
    [
        (4, {2: 0.375, 4: 0.1667, 6: 0.0417}),
        (5, {4: 0.2417, 6: 0.1167, 8: 0.0417, 10: 0.0083}),
        (6, {9: 0.0681, 11: 0.0278, 13: 0.0083, 15: 0.0014}),
    ],
)
def test_exact_tails_of_kendall_s(n: int, tails: dict[int, float]) -> None:
    """R, stats C_pKendall; the same as table A.30 of Hollander and Wolfe (from memory)."""
    for s, upper in tails.items():
        assert exact_p(s, [(1,) * n]) / 2 == pytest.approx(upper, abs=5e-5)


@pytest.mark.parametrize(("n", "critical"), [(5, 10), (6, 13), (7, 15), (8, 18), (9, 20), (10, 23)])
def test_critical_s_for_five_percent(n: int, critical: int) -> None:
    """Two-sided 5 % critical values of |S| (project's enumeration)."""
    assert exact_p(critical, [(1,) * n]) <= 0.05 < exact_p(critical - 2, [(1,) * n])


def test_smallest_possible_p_of_few_reports() -> None:
    """At three reports Mann-Kendall cannot go below 1/3, at four below 1/12: no verdict can come from it."""
    assert exact_p(3, [(1, 1, 1)]) == pytest.approx(1 / 3)
    assert exact_p(6, [(1,) * 4]) == pytest.approx(1 / 12)


# --- moderated variance, censoring, many questions, two reports ------------------------------------------


def test_moderated_variance_of_limma() -> None:
    """Smyth 2004; posterior variances of limma 3.54.1 squeezeVar with its fitted prior."""
    df = [1, 2, 3, 1]
    rss = np.array([0.02, 0.9, 7.5, 0.3]) * df
    series = np.repeat(np.arange(4), np.array(df) + 2)
    x = np.concatenate([np.arange(d + 2.0) for d in df])
    # Any residuals with the wanted sum of squares: a pattern without slope or level, scaled.
    y = np.zeros(x.size)
    for i, d in enumerate(df):
        own = series == i
        design = np.column_stack([np.ones(d + 2), x[own]])
        left = np.linalg.svd(design)[0][:, 2]
        y[own] = left * np.sqrt(rss[i])
    lines = fit_lines(series, x, y)
    assert lines.df.tolist() == df
    s, total, _ = moderate(lines, np.sqrt(0.4615308163), 1.397250273)
    assert s**2 == pytest.approx([0.2773486217, 0.7196626279, 5.2634880031, 0.3941491090], rel=1e-8)
    assert total == pytest.approx(1.397250273 + np.array(df))


def test_tobit_with_fixed_noise() -> None:
    """R survival::survreg, Gaussian, left-censored, scale fixed at 0.25."""
    fit = fit_censored(np.arange(6.0), [0.5, 0.5, 0.6, 0.8, 0.5, 1.1], [-1, -1, 0, 0, -1, 0], 0.25)
    assert fit.levels[0] == pytest.approx(0.1024878707, abs=1e-9)
    assert fit.slope == pytest.approx(0.1681411341, abs=1e-9)
    assert fit.level_se[0] == pytest.approx(0.2814970918, abs=1e-9)
    assert fit.slope_se == pytest.approx(0.0824708192, abs=1e-9)
    assert fit.loglik == pytest.approx(-1.55407033, abs=1e-8)


def test_benjamini_hochberg_example() -> None:
    """Benjamini and Hochberg 1995, table of 15 p values: their method rejects 4, Bonferroni 3."""
    p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719]
    p += [0.6528, 0.759, 1.0]
    adjusted = benjamini_hochberg(p)
    assert (adjusted <= 0.05).sum() == 4
    assert (np.array(p) * 15 <= 0.05).sum() == 3
    assert adjusted[3] == pytest.approx(0.035625, abs=1e-12)


@pytest.mark.parametrize(
    ("lab", "sampling", "symmetric", "normal", "with_t"),
    [
        (3, 5, 16.2, (17.5, 14.9), (26, 20)),
        (5, 10, 31.0, (36.2, 26.6), (55, 35)),
        (5, 20, 57.1, (76.0, 43.2), (123, 55)),
        (10, 20, 62.0, (84.5, 45.8), (138, 58)),
    ],
)
def test_reference_change_value_of_two_reports(lab, sampling, symmetric, normal, with_t) -> None:
    """Fraser 2012, Clin. Chem. Lab. Med. 50:807-812: RCV = z sqrt(2) sqrt(CVa² + CVi²)."""
    cv = np.hypot(lab, sampling) / 100
    plain, rise, fall = reference_change(cv, float(ndtri(0.975)))
    assert 100 * plain == pytest.approx(symmetric, abs=0.05)
    assert (100 * rise, -100 * fall) == pytest.approx(normal, abs=0.06)
    _, rise_t, fall_t = reference_change(cv, float(t_quantile(0.95, 4)))
    assert (100 * rise_t, -100 * fall_t) == pytest.approx(with_t, abs=0.6)


def test_a_line_through_two_reports_is_the_reference_change_value() -> None:
    """Two reports: the interval of the slope excludes zero exactly when the ratio is beyond the RCV."""
    sd = log_sd(0.1)
    _, rise, _ = reference_change(0.1, float(t_quantile(0.95, 4)))
    for ratio, beyond in ((1 + rise * 0.999, False), (1 + rise * 1.001, True)):
        lines = fit_lines(one(2), [0.0, 1.0], np.log([4.0, 4.0 * ratio]))
        _, df, se = moderate(lines, sd, 4)
        assert (lines.slope[0] - t_quantile(0.95, df)[0] * se[0] > 0) is np.bool_(beyond)
