"""Power and planning against published formulas and the tables of this project's own simulations.

Gelman & Carlin 2014 give type S and M errors; Fraser 2012 the reference change value; the tables were made
with other code (simulation and R) and are reproduced here by the quadrature that the plan uses.
"""

from datetime import date
from math import expm1, inf, sqrt

import numpy as np
import pytest

from soiltrend.noise import Noise
from soiltrend.planning.ahead import Field, smallest_difference
from soiltrend.planning.design import Design
from soiltrend.regression import (
    detectable_delta,
    equivalence,
    exaggeration,
    log_sd,
    power,
    reference_change,
    t_quantile,
)


def yearly(n: int, cv: float, d0: float = 4.0) -> Design:
    return Design(
        years=np.arange(n, dtype=float),
        segment=np.zeros(n, dtype=np.int64),
        variance=np.ones(n),
        s0=log_sd(cv),
        d0=d0,
    )


TABLE_8 = {
    2: (29, 67, 115, 175, 349, 48),
    3: (27, 62, 106, 161, 315, 48),
    4: (25, 56, 94, 141, 268, 45),
    5: (23, 50, 84, 125, 232, 42),
    6: (21, 46, 76, 112, 204, 40),
    8: (18, 40, 65, 94, 167, 35),
    10: (16, 35, 57, 82, 142, 32),
    15: (13, 28, 45, 64, 107, 26),
}
TABLE_17 = {
    2: (27, 62, 105, 160),
    3: (26, 60, 102, 153),
    4: (24, 55, 92, 138),
    5: (23, 50, 83, 124),
    6: (21, 46, 76, 112),
    8: (18, 40, 65, 95),
    10: (17, 36, 58, 83),
    15: (14, 29, 46, 66),
}


@pytest.mark.parametrize("n", TABLE_8)
def test_smallest_change_that_is_shown(n: int) -> None:
    """Table 8: percent over the span, 80 % power, two-sided 5 %, yearly tests, d0 = 4; last known noise."""
    designs = [yearly(n, cv) for cv in (0.05, 0.10, 0.15, 0.20, 0.30)] + [yearly(n, 0.10, d0=inf)]
    found = [100 * expm1((design.smallest_rate() or 0) * design.span) for design in designs]
    assert found == pytest.approx(TABLE_8[n], abs=0.6)


@pytest.mark.parametrize("n", TABLE_17)
def test_smallest_margin_for_no_change(n: int) -> None:
    """Table 17: percent over the span, 80 % chance to conclude when nothing changes."""
    designs = [yearly(n, cv) for cv in (0.05, 0.10, 0.15, 0.20)]
    found = [100 * expm1((design.margin_rate() or 0) * design.span) for design in designs]
    assert found == pytest.approx(TABLE_17[n], abs=1.1)


def test_equivalence_by_simulation() -> None:
    """The quadrature against the definition: the share of 90 % intervals that lie inside the margin."""
    random, d0, d, margin = np.random.default_rng(17), 4.0, 3.0, 3.0
    estimate, chi = random.standard_normal(200_000), random.chisquare(d, 200_000)
    half = t_quantile(0.90, d0 + d) * np.sqrt((d0 + chi) / (d0 + d))
    inside = np.mean((estimate - half > -margin) & (estimate + half < margin))
    assert float(equivalence(margin, d0, d)) == pytest.approx(inside, abs=0.004)


TABLE_9 = {
    10: (11.9, 8.6, 7.8, 7.1, 6.9, 6.8, 6.6),
    20: (21.0, 13.2, 11.0, 9.0, 8.2, 7.8, 7.1),
    30: (30.7, 18.5, 14.9, 11.4, 10.0, 9.3, 8.0),
    40: (40.5, 24.0, 19.0, 14.2, 12.2, 11.0, 9.0),
    60: (60.3, 35.2, 27.6, 20.0, 16.8, 14.9, 11.4),
}


@pytest.mark.parametrize("core", TABLE_9)
def test_noise_of_a_report_by_cores(core: int) -> None:
    """Table 9: sqrt(lab^2 + core^2/cores + year^2), lab 5 %, year 4 %, 1 to 40 cores."""
    given = {"lab_cv_pct": 5.0, "core_cv_pct": float(core), "year_cv_pct": 4.0}
    found = []
    for cores in (1, 3, 5, 10, 15, 20, 40):
        noise = Noise(overrides={"organic_matter": given}, cores=cores)
        found.append(100 * sqrt(expm1(noise.of("organic_matter", "%").s0 ** 2)))
    assert found == pytest.approx(TABLE_9[core], abs=0.06)


TABLE_11 = {
    3: (54, 26.5, 20, 16.8, 12.2, 10.7, 7.2),
    4: (35.5, 17.9, 13.7, 11.5, 8.4, 7.4, 5.0),
    5: (27.9, 14.3, 10.9, 9.2, 6.8, 5.9, 4.0),
    6: (24.2, 12.5, 9.6, 8.1, 5.9, 5.2, 3.5),
    8: (21, 10.9, 8.4, 7.1, 5.2, 4.6, 3.1),
    10: (19.8, 10.3, 7.9, 6.7, 4.9, 4.3, 2.9),
}
BEDS_A_SIDE = (2, 3, 4, 5, 8, 10, 20)


def field(beds: int, years: int) -> Field:
    bed, visit = np.divmod(np.arange(2 * beds * years), years)
    treated = np.arange(2 * beds) < beds
    return Field(visit.astype(float), bed, bed, visit, treated)


@pytest.mark.parametrize("years", TABLE_11)
def test_smallest_difference_between_groups(years: int) -> None:
    """Table 11: percent a year, pooled t at 80 % power, report CV 10 %, slopes of beds spread 3 %."""
    shown = dict(zip(BEDS_A_SIDE, TABLE_11[years], strict=True))
    for beds, expected in shown.items():
        variance = log_sd(0.10) ** 2 / np.sum((np.arange(years) - (years - 1) / 2) ** 2) + 0.03**2
        smallest = detectable_delta(0.0, float(2 * beds - 2)) * sqrt(2 * variance / beds)
        assert 100 * expm1(smallest) == pytest.approx(expected, abs=0.6 if beds == 2 else 0.2)
    for beds in (4, 5, 8, 10, 20):
        found = smallest_difference(field(beds, years), log_sd(0.10), 0.03)
        assert found is not None
        assert 100 * expm1(found) == pytest.approx(shown[beds], abs=0.2)


def test_with_few_beds_a_stated_spread_sees_more_than_the_pooled_t() -> None:
    """Below four beds a side Table 11 is for the pooled t; the moderated estimator needs less."""
    for beds, pooled in ((2, 35.5), (3, 17.9)):
        found = smallest_difference(field(beds, 4), log_sd(0.10), 0.03)
        assert found is not None
        assert 100 * expm1(found) < pooled
        sizes = np.sqrt(log_sd(0.10) ** 2 / 5 + 0.03**2) * np.sqrt(2 / beds)
        assert float(power(found / sizes, 4, 2 * beds - 2)) == pytest.approx(0.8, abs=1e-6)


@pytest.mark.parametrize(
    ("effect", "se", "shown", "wrong_sign", "factor"),
    [
        (2.8, 1.0, 0.80, 1.2e-6, 1.12),
        (0.1, 3.28, 0.05, 0.46, 77),
        (0.3, 3.28, 0.05, 0.395, 25.6),
        (1.0, 3.28, 0.06, 0.19, 7.8),
    ],
)
def test_type_s_and_m(effect: float, se: float, shown: float, wrong_sign: float, factor: float) -> None:
    """Gelman & Carlin 2014, Perspect. Psychol. Sci. 9:641-651: known noise, two-sided 5 %."""
    found = exaggeration(effect / se, inf, 0)
    assert found[0] == pytest.approx(shown, abs=0.006)
    assert found[1] == pytest.approx(wrong_sign, rel=0.02)
    assert found[2] == pytest.approx(factor, rel=0.012)


@pytest.mark.parametrize(("errors", "shown"), [(2.0, 0.50), (1.0, 0.17), (0.65, 0.10)])
def test_power_at_a_few_standard_errors(errors: float, shown: float) -> None:
    """Gelman & Carlin 2014: power 50, 17 and 10 % at 2, 1 and .65 standard errors."""
    assert exaggeration(errors, inf, 0)[0] == pytest.approx(shown, abs=0.017)


def test_type_m_by_simulation_with_moderated_noise() -> None:
    random, d0, d, delta = np.random.default_rng(25), 4.0, 4.0, 1.0
    estimate, chi = delta + random.standard_normal(400_000), random.chisquare(d, 400_000)
    shown = np.abs(estimate) > t_quantile(0.95, d0 + d) * np.sqrt((d0 + chi) / (d0 + d))
    found = exaggeration(delta, d0, d)
    assert found[0] == pytest.approx(shown.mean(), abs=0.003)
    assert found[2] == pytest.approx(np.abs(estimate[shown]).mean() / delta, rel=0.01)


def test_reference_change_value() -> None:
    """Fraser 2012, Clin. Chem. Lab. Med. 50:807-812: lab 5 %, sampling 10 %: 30.99 %, +36.2 / -26.6 %."""
    cv = float(np.hypot(0.05, 0.10))
    symmetric, up, down = reference_change(cv, 1.959964)
    assert 100 * symmetric == pytest.approx(30.99, abs=0.005)
    assert (100 * up, 100 * down) == pytest.approx((36.2, -26.6), abs=0.06)


def test_two_reports_are_the_reference_change_value_at_half_power() -> None:
    """With known noise and two reports the plan rests on the same quantity: delta 1.96 has power 50 %."""
    design = yearly(2, 0.10, d0=inf)
    assert design.se == pytest.approx(log_sd(0.10) * sqrt(2))
    assert float(power(1.959964, inf, 0)) == pytest.approx(0.5, abs=1e-4)


def test_dates_of_unequal_distance_count_as_they_are() -> None:
    """Sxx of 2018, 2019, 2024 by hand: mean 2020.33, 5.44 + 1.78 + 13.44 = 20.67."""
    design = Design(
        years=np.array([2018.0, 2019.0, 2024.0]),
        segment=np.zeros(3, dtype=np.int64),
        variance=np.ones(3),
        s0=0.1,
        d0=4.0,
    ).then([date(2025, 1, 1)])
    years = np.array([2018.0, 2019.0, 2024.0, design.years[-1]])
    assert design.information == pytest.approx(float(np.sum((years - years.mean()) ** 2)))
