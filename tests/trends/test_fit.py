"""Series to trends: the numbers, the verdicts and the edges."""

import json
import math
from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.noise import Noise
from soiltrend.regression import log_sd, reference_change, smallest_detectable, t_quantile
from soiltrend.trends import KEYS, fit_trends, to_frame, to_records
from tests.trends.tables import LEVELS, flat_garden, rows, table

NOISE = Noise()
PLAIN = Noise({"organic_matter": {"cv_pct": 10}, "bulk_density": {"cv_pct": 5}})


def one(values, analyte="organic_matter", noise=NOISE, **more):
    found = fit_trends(table(rows(values, analyte, **more)), noise)
    assert len(found) == 1
    return found[0]


# --- the numbers -----------------------------------------------------------------------------------------


def test_a_log_fit_is_told_in_the_unit_at_the_level_of_the_series() -> None:
    trend = one([2.0, 3.0, 4.5, 6.75], "bulk_density", PLAIN)
    assert trend.scale == "log"
    assert trend.slope_fit == pytest.approx(math.log(1.5), rel=1e-3)
    assert trend.percent_per_year == pytest.approx(50, rel=2e-3)
    assert trend.level == pytest.approx(math.sqrt(3 * 4.5), rel=1e-9)
    assert trend.slope_per_year == pytest.approx(trend.level * trend.slope_fit)
    assert trend.total_change == pytest.approx(4.75, rel=1e-2)
    assert (trend.first_value, trend.last_value) == (2.0, 6.75)
    assert trend.span_years == pytest.approx(3.0, abs=0.01)


def test_the_fitted_line_the_total_and_the_interval_are_one_line() -> None:
    trend = one([3.1, 3.4, 3.2, 3.9, 4.1])
    first, last = trend.points[0], trend.points[-1]
    assert trend.total_change == pytest.approx(last.fitted - first.fitted)
    reach = t_quantile(0.95, trend.df) * trend.se_fit
    assert trend.ci_low == pytest.approx(trend.level * (trend.slope_fit - reach))
    assert trend.ci_high == pytest.approx(trend.level * (trend.slope_fit + reach))
    assert trend.ci_low < trend.slope_per_year < trend.ci_high
    assert trend.total_low < trend.total_change < trend.total_high


@pytest.mark.parametrize(
    ("days", "shown"),
    [(("2025-05-10", "2025-06-21", "2025-08-16"), False), (("2023-05-10", "2024-05-10", "2025-05-10"), True)],
)
def test_what_changes_within_one_season_is_no_change_from_year_to_year(days, shown) -> None:
    warming = table(
        [
            {**row, "sampled_on": pd.Timestamp(day)}
            for row, day in zip(rows([10.0, 20.0, 30.0], "soil_temperature", unit="Cel"), days, strict=True)
        ]
    )
    (trend,) = fit_trends(warming, NOISE)
    assert (trend.verdict == "rising") is shown
    assert ("the time of year" in trend.sentence) is not shown


def test_ph_is_told_in_ph_units_without_a_percentage() -> None:
    trend = one([6.0, 6.2, 6.4, 6.6], "ph")
    assert trend.scale == "raw"
    assert trend.slope_per_year == trend.slope_fit == pytest.approx(0.2, rel=1e-3)
    assert trend.total_change == pytest.approx(0.6, rel=1e-3)
    assert trend.percent_per_year is None


def test_the_numbers_of_one_series_by_hand() -> None:
    """The closed form of the estimator, worked out beside it."""
    values = [3.1, 3.4, 3.2, 3.9]
    trend = one(values, noise=PLAIN)
    t = (pd.to_datetime([f"{2015 + i}-10-01" for i in range(4)]) - pd.Timestamp("2015-10-01")).days / 365.25
    x, y = t.to_numpy() - t.to_numpy().mean(), np.log(values)
    b = (x @ y) / (x @ x)
    rss = ((y - y.mean() - b * x) ** 2).sum()
    s0 = log_sd(math.hypot(0.1, 0.005 / np.exp(y.mean())))
    s = math.sqrt((4 * s0**2 + rss) / 6)
    assert trend.slope_fit == pytest.approx(b, rel=1e-10)
    assert trend.se_fit == pytest.approx(s / math.sqrt(x @ x), rel=1e-9)
    assert (trend.d0, trend.df) == (4, 6)
    assert trend.s0 == trend.s0_stated == pytest.approx(s0)
    assert trend.scatter_ratio == pytest.approx(math.sqrt(rss / 2) / s0)
    detectable = smallest_detectable(x @ x, s0, 4, 2, trend.span_years)
    assert trend.smallest_detectable == pytest.approx(trend.level * math.expm1(detectable))


def test_two_reports_rise_when_they_differ_by_more_than_the_reference_change_value() -> None:
    _, rise, _ = reference_change(0.1, float(t_quantile(0.95, 4)))
    below, above = one([4.0, 4.0 * (1 + rise) * 0.995], noise=PLAIN), one([4.0, 4.0 * (1 + rise) * 1.01])
    assert (below.verdict, above.verdict) == ("no-change-shown", "rising")


@pytest.mark.parametrize("n", [2, 3])
def test_never_a_p_value_at_three_reports_even_when_the_rise_is_plain(n: int) -> None:
    trend = one([2.0, 4.0, 8.0][:n])
    assert trend.verdict == "rising"
    assert (trend.p_value, trend.p_adjusted, trend.ols_p, trend.mann_kendall_p) == (None, None, None, None)


def test_four_reports_in_two_laboratories_carry_no_more_than_three() -> None:
    assert one([4.0, 4.1, 5.0, 5.1], lab=["A", "A", "B", "B"]).p_value is None
    assert one([4.0, 4.1, 5.0, 5.1]).p_value is not None


@pytest.mark.parametrize(("n", "beside"), [(5, False), (6, True), (9, True)])
def test_theil_sen_and_exact_mann_kendall_stand_beside_from_six_reports(n: int, beside: bool) -> None:
    trend = one([3.0 + 0.1 * i for i in range(n)])
    assert (trend.sen_slope is not None) == beside
    assert (trend.mann_kendall_p is not None) == beside
    if beside:
        assert trend.sen_slope == pytest.approx(trend.slope_per_year, rel=0.05)
        assert trend.mann_kendall_p == pytest.approx(2 / math.factorial(n))


@pytest.mark.parametrize(("n", "beside"), [(3, False), (4, True)])
def test_the_interval_of_the_residuals_alone_stands_beside_from_four_reports(n: int, beside: bool) -> None:
    trend = one([3.0, 3.3, 3.1, 3.6][:n])
    assert (trend.ols_low is not None) == beside


@pytest.mark.parametrize(("n", "beside"), [(7, False), (8, True)])
def test_slow_drift_is_allowed_for_from_eight_reports(n: int, beside: bool) -> None:
    trend = one([3.0, 3.3, 3.1, 3.6, 3.2, 3.4, 3.3, 3.7][:n])
    assert (trend.drift_low is not None) == beside
    if beside:
        assert trend.drift_low < trend.ci_low
        assert trend.drift_high > trend.ci_high


def test_another_level_widens_the_interval() -> None:
    frame = table(rows([3.1, 3.4, 3.2, 3.9]))
    wide, narrow = (fit_trends(frame, NOISE, level)[0] for level in (0.99, 0.8))
    assert (wide.ci_level, narrow.ci_level) == (0.99, 0.8)
    assert wide.ci_low < narrow.ci_low
    assert wide.ci_high > narrow.ci_high


@pytest.mark.parametrize(("first", "yearly"), [(3.0, 0.2), (2.0, 0.5), (5.0, -0.3)])
def test_a_straight_line_is_told_by_its_own_slope(first: float, yearly: float) -> None:
    trend = one([first + yearly * i for i in range(6)])
    assert trend.slope_per_year == pytest.approx(yearly, rel=0.06)
    assert trend.slope_per_year * trend.span_years == pytest.approx(trend.total_change, rel=0.05)


def test_two_reports_of_one_month_are_not_blown_up() -> None:
    """A difference between days is no doubling per year compounded: the numbers stay those of a line."""
    trend = one([4.0, 5.0], sampled_on=["2020-05-01", "2020-05-15"])
    assert trend.slope_per_year == pytest.approx(1.0 / (14 / 365.25), rel=0.01)
    assert trend.total_change == pytest.approx(1.0)


# --- few, equal, odd, missing ----------------------------------------------------------------------------


def test_one_report_is_too_few() -> None:
    trend = one([4.0])
    assert (trend.verdict, trend.estimator, trend.n) == ("too-few", "none", 1)
    assert (trend.slope_per_year, trend.total_change, trend.smallest_detectable) == (None, None, None)
    assert (trend.first_value, trend.last_value) == (4.0, 4.0)
    assert trend.points[0].noise_low < 4.0 < trend.points[0].noise_high
    assert trend.points[0].fitted is None


def test_two_results_of_one_date_are_one_report() -> None:
    trend = one([4.0, 4.4, 5.0], sampled_on=["2015-10-01", "2015-10-01", "2016-10-01"])
    assert trend.n == 2
    assert trend.first_value == pytest.approx(math.sqrt(4.0 * 4.4))
    assert [point.value for point in trend.points] == [4.0, 4.4, 5.0]
    assert one([4.0, 4.4], sampled_on="2015-10-01").verdict == "too-few"


def test_equal_values_are_no_change_and_no_proof_of_none() -> None:
    trend = one([4.0] * 6)
    assert trend.verdict == "no-change-shown"
    assert trend.slope_per_year == 0
    assert trend.ci_low < 0 < trend.ci_high
    assert (trend.p_value, trend.mann_kendall_p) == (1.0, 1.0)


@pytest.mark.parametrize("note", ["duplicate-of:reports/a.csv", "not-in-fits", "impossible-value"])
def test_rows_marked_as_not_to_be_fitted_are_kept_out(note: str) -> None:
    trend = one([4.0, 40.0, 4.2, 4.1], notes=["", f"unit-assumed;{note}", "", "unit-assumed"])
    assert [point.value for point in trend.points] == [4.0, 4.2, 4.1]


def test_rows_without_date_or_value_are_kept_out_and_gaps_count_as_years() -> None:
    dates = ["2010-05-01", "2011-05-01", None, "2018-05-01", "2020-05-01"]
    frame = table(rows([4.0, None, 4.4, 4.5, 5.0], sampled_on=dates))
    trend = fit_trends(frame, NOISE)[0]
    assert trend.n == 3
    assert (trend.first_on, trend.last_on) == (date(2010, 5, 1), date(2020, 5, 1))
    assert trend.slope_fit == pytest.approx(math.log(5 / 4) / 10, rel=0.1)


def test_a_negative_concentration_never_enters_a_fit_but_a_frost_does() -> None:
    assert [p.value for p in one([4.0, -5.0, 4.2]).points] == [4.0, 4.2]
    assert one([4.0, -2.0, 1.0], "soil_temperature", unit="Cel").n == 3


def test_nothing_to_fit_gives_no_trends() -> None:
    empty = table()
    assert fit_trends(empty, NOISE) == []
    assert to_records([]) == []
    assert list(to_frame([]).columns) == list(KEYS)
    assert fit_trends(table(rows([4.0], sampled_on=[None])), NOISE) == []


def test_an_odd_value_is_marked_and_stays_in_the_fit() -> None:
    values = [4.0, 4.1, 4.0, 8.6, 4.2, 4.1, 4.2]
    trend = one(values)
    odd = [point.odd_p for point in trend.points]
    assert odd[3] == min(odd) < 0.01
    assert sorted(odd)[1] > 0.05
    assert trend.n == 7
    assert trend.scatter_p < 0.05


def test_two_reports_cannot_have_an_odd_one() -> None:
    assert [point.odd_p for point in one([4.0, 9.0]).points] == [None, None]


# --- values beyond a limit -------------------------------------------------------------------------------


def test_values_below_the_limit_are_fitted_as_such() -> None:
    trend = one([0.5, 0.5, 0.6, 0.8, 0.5, 1.1], "zinc", qualifier=["<", "<", "", "", "<", ""])
    assert trend.estimator == "known-noise-censored"
    assert (trend.n, trend.n_censored) == (6, 3)
    assert trend.bound_low < 0.1 < trend.bound_high
    assert trend.sen_slope is None
    assert trend.points[0].qualifier == "<"
    assert (trend.points[0].noise_low, trend.points[0].noise_high) == (0.0, pytest.approx(0.5))
    assert trend.span_years == pytest.approx(5, abs=0.01)


def test_substituting_half_the_limit_would_give_another_slope() -> None:
    """What the values below the limit were is unknown: no single substitute stands for them."""
    values, sides = [0.5, 0.6, 0.5, 0.9, 1.1, 1.3], ["<", "", "<", "", "", ""]
    tobit = one(values, "zinc", qualifier=sides)
    half = one([v / 2 if s else v for v, s in zip(values, sides, strict=True)], "zinc")
    at_limit = one(values, "zinc")
    assert at_limit.slope_fit < tobit.slope_fit < half.slope_fit


def test_the_interval_holds_where_values_are_cut_off() -> None:
    """True rise 10 % a year, CV 20 %, about a quarter of the values below the limit (seeded)."""
    rng = np.random.default_rng(12)
    parts = []
    for bed in range(300):
        true = np.exp(0.1 * np.arange(-2, 3) + 0.15 + rng.normal(0, log_sd(0.2), 5))
        sides = ["<" if value < 1 else "" for value in true]
        parts.append(rows(np.maximum(true, 1.0).tolist(), "bulk_density", f"Bed {bed}", qualifier=sides))
    trends = fit_trends(table(*parts), Noise({"bulk_density": {"cv_pct": 20}}))
    found = [t for t in trends if t.slope_fit is not None and t.n_censored]
    held = [abs(t.slope_fit - 0.1) < t_quantile(0.95, t.df) * t.se_fit for t in found]
    assert len(found) > 150
    assert np.mean(held) > 0.94
    assert np.median([t.slope_fit for t in found]) == pytest.approx(0.1, abs=0.025)


@pytest.mark.parametrize(
    ("values", "sides"),
    [
        ([0.5, 0.5, 0.5], ["<", "<", "<"]),
        ([0.5, 0.5, 0.9], ["<", "<", ""]),
        ([0.5, 0.5, 0.5, 0.9, 0.8], ["<", "<", "<", "", ""]),
        ([0.5], ["<"]),
    ],
)
def test_more_than_half_below_the_limit_has_no_slope(values, sides) -> None:
    trend = one(values, "zinc", qualifier=sides)
    assert (trend.verdict, trend.slope_per_year) == ("too-few", None)
    assert all(point.fitted is None for point in trend.points)
    json.dumps(to_records([trend]), allow_nan=False)


def test_a_printed_zero_is_a_value_below_its_last_place() -> None:
    trend = one([0.0, 0.3, 0.5, 0.4], "boron", value_printed=["0.0", "0.3", "0.5", "0.4"])
    assert trend.estimator == "known-noise-censored"
    assert trend.first_value == 0.0
    assert trend.points[0].noise_high == pytest.approx(0.05)
    assert trend.bound_low < trend.bound_high
    assert one([0.0, 0.0, 0.0], "boron").verdict == "too-few"


def test_a_zero_saturation_is_an_ordinary_number() -> None:
    trend = one([0.0, 1.0, 2.0], "base_saturation_na", unit="%")
    assert (trend.n_censored, trend.scale) == (0, "raw")


def test_values_above_the_range_are_fitted_as_such() -> None:
    trend = one([100.0, 150, 200, 200, 230], "phosphorus", qualifier=["", "", ">", ">", ""])
    cut = one([100.0, 150, 200, 200, 230], "phosphorus")
    assert trend.slope_fit > cut.slope_fit
    assert (trend.bound_low, trend.bound_high) == (None, None)
    assert trend.mann_kendall_p is None


def test_mann_kendall_ties_what_lies_below_the_limit() -> None:
    """'< 0.5' twice and a detected 0.4, which cannot be ordered against them and is left out."""
    sides = ["<", "<", "", "", "", "", "", ""]
    trend = one([0.5, 0.5, 0.4, 0.7, 0.8, 0.9, 1.0, 1.1], "zinc", qualifier=sides)
    # 7 values, two of them tied and lowest, all others rising: S is at its largest.
    assert trend.mann_kendall_p == pytest.approx(2 / (math.factorial(7) / 2))


# --- noise: rounding, limits, other beds -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "printed", "step"),
    [(4.0, "4", 1.0), (4.0, "4.0", 0.1), (4.25, "4,25 H", 0.01), (1234.0, "1,234", 1.0), (2.0, "4 lb", 0.5)],
)
def test_rounding_of_the_printed_number_widens_the_noise(value, printed, step) -> None:
    """step²/12 of the variance; the step of the digits carries over to the unit of the value."""
    trend = one([value, value], "bulk_density", PLAIN, value_printed=printed)
    expected = log_sd(math.sqrt(0.05**2 + (step / value) ** 2 / 12))
    assert trend.s0_stated == pytest.approx(expected, rel=1e-6)


def test_a_spreadsheet_that_drops_the_zero_of_5_0_does_not_widen_it() -> None:
    dropped = one([4.8, 5.0, 5.2], value_printed=["4.8", "5", "5.2"])
    kept = one([4.8, 5.0, 5.2], value_printed=["4.8", "5.0", "5.2"])
    assert dropped.s0_stated == pytest.approx(kept.s0_stated)


def test_close_to_the_limit_the_laboratorys_absolute_noise_counts() -> None:
    low, high = one([0.05, 0.05], "boron"), one([2.0, 2.0], "boron")
    assert low.s0 > 1.5 * high.s0
    cv = math.sqrt(math.expm1(NOISE.of("boron", "mg/kg").s0 ** 2))
    assert low.s0 == pytest.approx(log_sd(math.hypot(cv, 0.02 / 0.05)))


def test_other_beds_teach_the_noise_of_a_bed() -> None:
    calm, wild = flat_garden(1, 8, 5, noise=0.5), flat_garden(1, 8, 5, noise=2.0)
    for frame, way in ((calm, -1), (wild, 1)):
        found = [t for t in fit_trends(frame, NOISE) if t.analyte == "phosphorus"]
        assert all(way * (trend.s0 - trend.s0_stated) > 0 for trend in found)
        assert {trend.d0 for trend in found} == {12.0}


def test_a_bed_alone_keeps_the_published_figure() -> None:
    trend = one([3.0, 9.0, 4.0, 2.0])
    assert (trend.s0, trend.d0) == (trend.s0_stated, 4.0)
    assert trend.scatter_ratio > 3


def test_one_misread_report_does_not_blind_the_other_beds() -> None:
    """A factor of 2.29 in one bed and year: the others keep about the interval that they had."""
    frame = flat_garden(3, 10, 6)
    spoiled = frame.copy()
    at = spoiled.index[(spoiled["bed"] == "Bed 4") & (spoiled["analyte"] == "phosphorus")][2]
    spoiled.loc[at, "value"] *= 2.29 * 4
    before, after = (
        {t.bed: t for t in fit_trends(f, NOISE) if t.analyte == "phosphorus"} for f in (frame, spoiled)
    )
    for bed in set(before) - {"Bed 4"}:
        assert after[bed].se_fit < 1.35 * before[bed].se_fit
    assert after["Bed 4"].scatter_p < 0.01


@pytest.mark.parametrize(
    ("years", "noise", "least"), [(3, 1.0, 94), (4, 1.0, 94), (6, 1.0, 94), (6, 2.0, 93)]
)
def test_intervals_of_whole_gardens_hold(years: int, noise: float, least: float) -> None:
    """8 beds × 10 analytes: the noise is learned from the other beds, and the truth is no change."""
    trends = [t for seed in range(6) for t in fit_trends(flat_garden(seed, 8, years, noise=noise), NOISE)]
    held = 100 * np.mean([t.ci_low <= 0 <= t.ci_high for t in trends])
    assert least < held < 99


# --- verdicts over everything that is printed ------------------------------------------------------------


def leads(frame) -> int:
    return sum(trend.verdict in {"rising", "falling"} for trend in fit_trends(frame, NOISE))


def test_flat_gardens_rarely_show_anything() -> None:
    """12 beds × 10 analytes × 6 years of honest noise: no more than about one garden in twenty has a lead."""
    hits = [leads(flat_garden(seed, 12, 6)) for seed in range(40)]
    assert sum(hit > 0 for hit in hits) <= 5
    assert sum(hits) <= 8


def test_flat_gardens_with_more_noise_than_stated_do_not_either() -> None:
    """Twice the stated noise is learned from the other beds."""
    hits = [leads(flat_garden(seed, 12, 6, noise=2)) for seed in range(10)]
    assert sum(hits) <= 4


def test_a_lean_of_one_series_does_not_hold_among_many() -> None:
    alone = one([3.0, 3.3, 3.5, 4.1, 4.2], noise=PLAIN)
    assert alone.verdict == "rising"
    crowd = table(
        rows([3.0, 3.3, 3.5, 4.1, 4.2]),
        *(rows([4.0, 4.1, 4.0, 4.05, 4.0], bed=f"Flat {i}") for i in range(200)),
    )
    wide = Noise({"organic_matter": {"cv_pct": 10, "df": 1000}})
    found = next(t for t in fit_trends(crowd, wide) if t.bed == "Bed 1")
    assert found.ci_low > 0
    assert found.p_value < 0.05 < found.p_adjusted
    assert found.verdict == "no-change-shown"


def test_a_plain_rise_among_flat_beds_is_shown() -> None:
    frame = pd.concat([flat_garden(5, 8, 6), table(rows([2.0, 2.5, 3.2, 4.0, 5.1, 6.4], bed="Compost"))])
    rising = [t.bed for t in fit_trends(frame, NOISE) if t.verdict == "rising"]
    assert rising == ["Compost"]


# --- the contract ----------------------------------------------------------------------------------------


def test_records_have_the_keys_of_the_interface_in_order() -> None:
    records = to_records(fit_trends(flat_garden(2, 2, 4), NOISE))
    assert all(tuple(record) == KEYS for record in records)
    assert tuple(to_frame(fit_trends(flat_garden(2, 2, 4), NOISE)).columns) == KEYS
    text = json.dumps(records, allow_nan=False)
    assert json.loads(text)[0]["first_on"] == "2015-10-01"


def test_numbers_are_pythons_own() -> None:
    trend = one([3.1, 3.4, 3.2, 3.9, 4.2, 4.1])
    for name in KEYS:
        assert type(getattr(trend, name)) in {str, int, float, date, type(None)}, name
    for point in trend.points:
        for name in point.__slots__:
            assert type(getattr(point, name)) in {str, int, float, date, type(None)}, name


def test_points_lead_back_to_their_rows() -> None:
    frame = flat_garden(4, 3, 4).sample(frac=1, random_state=1)
    for trend in fit_trends(frame, NOISE):
        assert [p.sampled_on for p in trend.points] == sorted(p.sampled_on for p in trend.points)
        for point in trend.points:
            row = frame.iloc[point.row]
            assert (row["bed"], row["analyte"], row["value"]) == (trend.bed, trend.analyte, point.value)
            assert (row["source"], row["place"]) == (point.source, point.place)


def test_trends_come_in_the_order_of_beds_and_analytes() -> None:
    frame = table(*(rows([4.0], a, f"Bed {i}") for i in (10, 9, 1) for a in ("zinc", "organic_matter")))
    order = [(t.bed, t.analyte) for t in fit_trends(frame, NOISE)]
    assert order == [(f"Bed {i}", a) for i in (1, 9, 10) for a in ("organic_matter", "zinc")]


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 10_000))
def test_the_order_of_rows_does_not_matter(seed: int) -> None:
    frame = flat_garden(6, 3, 4)
    shuffled = frame.sample(frac=1, random_state=seed)
    first, second = (to_records(fit_trends(f, NOISE)) for f in (frame, shuffled))
    for a, b in zip(first, second, strict=True):
        numbers = {key for key in a if isinstance(a[key], float)}
        assert {key: a[key] for key in a.keys() - numbers} == {key: b[key] for key in b.keys() - numbers}
        for key in numbers:
            assert a[key] == pytest.approx(b[key], rel=1e-8, abs=1e-12)


@settings(deadline=None, max_examples=25)
@given(st.floats(0.1, 50), st.lists(st.floats(0.5, 3), min_size=2, max_size=8))
def test_another_unit_of_the_same_quantity_gives_the_same_trend(factor: float, values: list[float]) -> None:
    plain = one(values, "bulk_density", PLAIN)
    scaled = one([value * factor for value in values], "bulk_density", PLAIN)
    assert scaled.verdict == plain.verdict
    assert scaled.slope_fit == pytest.approx(plain.slope_fit, rel=1e-6, abs=1e-9)
    for name in ("slope_per_year", "ci_low", "ci_high", "total_change", "smallest_detectable"):
        expected = factor * getattr(plain, name)
        assert getattr(scaled, name) == pytest.approx(expected, rel=1e-6, abs=1e-7 * factor)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.floats(0.5, 3), min_size=2, max_size=8))
def test_time_turned_round_turns_the_verdict_round(values: list[float]) -> None:
    dates = [f"{2015 + 2 * i}-01-01" for i in range(len(values))]
    forth, back = one(values, sampled_on=dates), one(values[::-1], sampled_on=dates)
    turned = {"rising": "falling", "falling": "rising"}
    assert back.verdict == turned.get(forth.verdict, forth.verdict)
    assert back.slope_fit == pytest.approx(-forth.slope_fit, rel=0.02, abs=1e-3)


def test_dates_may_come_as_dates_texts_or_timestamps() -> None:
    made = rows([3.1, 3.4, 3.6])
    texts, stamps = pd.DataFrame(made), table(made)
    dates = texts.assign(sampled_on=[date(2015 + i, 10, 1) for i in range(3)])
    results = [to_records(fit_trends(frame, NOISE)) for frame in (texts, stamps, dates)]
    assert results[0] == results[1] == results[2]


def test_the_table_given_is_left_alone() -> None:
    frame = flat_garden(7, 2, 3)
    copy = frame.copy()
    fit_trends(frame, NOISE)
    pd.testing.assert_frame_equal(frame, copy)


def test_levels_of_every_analyte_have_a_noise_figure() -> None:
    assert all("guess" not in NOISE.of(analyte, "").source for analyte in LEVELS)


# --- what no line can pass -------------------------------------------------------------------------------


def test_a_zero_among_forties_widens_the_interval_instead_of_showing_a_fall() -> None:
    """40, 42, 0, 41: the middle scatters at least from forty to the limit; nothing fell from 40 to 41."""
    trend = one([40.0, 42.0, 0.0, 41.0], "phosphorus")
    assert trend.n_censored == 1
    assert trend.ci_low < 0 < trend.ci_high
    calm = one([40.0, 42.0, 39.0, 41.0], "phosphorus")
    assert trend.ci_high - trend.ci_low > 1.5 * (calm.ci_high - calm.ci_low)
    assert trend.smallest_detectable < 2 * calm.smallest_detectable


def test_two_equal_results_of_one_day_are_shown_as_printed() -> None:
    trend = fit_trends(table(rows([160.0, 160.0], "potassium"), rows([160.0, 160.0], "potassium")), NOISE)[0]
    assert (trend.first_value, trend.last_value) == (160.0, 160.0)


def test_two_laboratories_side_by_side_are_no_breaks_and_first_and_last_are_of_one() -> None:
    both = table(rows([3.0, 3.1, 3.0], lab="Fenwick Labs"), rows([3.6, 3.5, 3.6], lab="Marl Labs"))
    (trend,) = fit_trends(both, NOISE)
    assert (trend.segments, trend.breaks) == (2, ())
    assert (trend.first_value, trend.last_value) in {(3.0, 3.0), (3.6, 3.6)}
