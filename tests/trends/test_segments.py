"""What may be compared: laboratories, methods, layers and units."""

import numpy as np
import pytest

from soiltrend.noise import Noise
from soiltrend.trends import fit_trends
from tests.trends.tables import rows, table

NOISE = Noise()


def fit(*parts):
    return fit_trends(table(*parts), NOISE)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"lab": ["A", "A", "B", "B"]}, "2017-10-01 laboratory A to B"),
        ({"method": ["bray_p1", "bray_p1", "olsen", "olsen"]}, "2017-10-01 method bray_p1 to olsen"),
        ({"depth_to_cm": [15.0, 15.0, 20.0, 20.0]}, "2017-10-01 layer 0-15 cm to 0-20 cm"),
        ({"depth_from_cm": [0.0, 0.0, 5.0, 5.0]}, "2017-10-01 layer 0-15 cm to 5-15 cm"),
        ({"lab": ["A", "A", "", ""]}, "2017-10-01 laboratory A to not named"),
    ],
)
def test_nothing_rises_across_a_change(change, said) -> None:
    """Flat before, flat after, a large step between: no rise, and the change is named."""
    (trend,) = fit(rows([20.0, 20.4, 39.8, 40.2], "phosphorus", **change))
    assert trend.segments == 2
    assert trend.breaks == (said,)
    assert trend.verdict == "no-change-shown"
    assert abs(trend.slope_fit) < 0.03
    assert trend.span_years == pytest.approx(2.0, abs=0.01)
    assert [point.segment for point in trend.points] == [0, 0, 1, 1]


def test_without_the_change_the_same_numbers_rise() -> None:
    (trend,) = fit(rows([20.0, 20.4, 39.8, 40.2], "phosphorus"))
    assert (trend.verdict, trend.segments, trend.breaks) == ("rising", 1, ())


def test_two_segments_with_one_report_each_cannot_be_compared() -> None:
    (trend,) = fit(rows([4.0, 8.0], lab=["A", "B"]))
    assert (trend.verdict, trend.n, trend.segments) == ("too-few", 2, 2)
    assert trend.slope_per_year is None


def test_a_new_unit_basis_is_a_series_of_its_own() -> None:
    found = fit(rows([40.0, 42, 44, 46], "phosphorus", unit=["mg/kg", "mg/kg", "mg/dm3", "mg/dm3"]))
    assert [(trend.unit, trend.n) for trend in found] == [("mg/dm3", 2), ("mg/kg", 2)]


@pytest.mark.parametrize("spelling", ["green valley lab", "Green-Valley Lab", " Green Valley  Lab. "])
def test_case_and_punctuation_do_not_make_another_laboratory(spelling: str) -> None:
    (trend,) = fit(
        rows([4.0, 4.2, 4.1, 4.3], lab=["Green Valley Lab", spelling, spelling, "Green Valley Lab"])
    )
    assert trend.segments == 1


@pytest.mark.parametrize(
    ("first", "second", "segments"), [(15.24, 15.0, 1), (20.32, 20.0, 1), (15.0, 17.8, 2)]
)
def test_inches_rounded_to_centimetres_are_the_same_layer(first, second, segments) -> None:
    (trend,) = fit(rows([4.0, 4.2, 4.1, 4.3], depth_to_cm=[first, first, second, second]))
    assert trend.segments == segments


def test_a_method_that_is_not_named_is_no_proof_of_a_change() -> None:
    (trend,) = fit(rows([4.0, 4.2, 4.1, 4.3], method=["", "walkley_black", "", "walkley_black"]))
    assert (trend.segments, trend.method) == (1, "walkley_black")
    assert trend.remarks == ("method-not-always-named",)


def test_a_method_that_is_not_named_among_two_is_neither() -> None:
    (trend,) = fit(rows([20.0, 21, 22, 30], "phosphorus", method=["", "bray_p1", "bray_p1", "olsen"]))
    assert trend.segments == 3


def test_another_laboratory_never_lends_its_method() -> None:
    (trend,) = fit(rows([4.0, 4.2, 5.0, 5.1], lab=["A", "A", "B", "B"], method=["", "", "loi", "loi"]))
    assert trend.segments == 2
    assert trend.remarks == ()


def test_a_layer_that_is_not_named_is_no_proof_of_a_change() -> None:
    depths = {"depth_from_cm": [None, 0.0, None, 0.0], "depth_to_cm": [None, 15.0, None, 15.0]}
    (trend,) = fit(rows([4.0, 4.2, 4.1, 4.3], **depths))
    assert trend.segments == 1
    assert trend.remarks == ("layer-not-always-named",)


def test_methods_run_side_by_side_are_series_of_their_own() -> None:
    found = fit(
        rows([20.0, 22, 24], "phosphorus", method="bray_p1"),
        rows([12.0, 13, 14], "phosphorus", method="olsen"),
    )
    assert [(trend.method, trend.n, trend.segments) for trend in found] == [
        ("bray_p1", 3, 1),
        ("olsen", 3, 1),
    ]


def test_two_layers_of_the_same_reports_are_series_of_their_own() -> None:
    found = fit(rows([4.0, 4.2, 4.1]), rows([2.0, 2.1, 2.2], depth_from_cm=15.0, depth_to_cm=30.0))
    assert sorted(trend.last_value for trend in found) == [2.2, 4.1]


def test_one_report_by_two_methods_is_two_series() -> None:
    found = fit(rows([20.0], "phosphorus", method="bray_p1"), rows([12.0], "phosphorus", method="olsen"))
    assert [trend.verdict for trend in found] == ["too-few", "too-few"]


def test_one_year_of_overlap_at_a_change_is_a_change() -> None:
    years = [f"{y}-05-01" for y in (2010, 2011, 2012, 2012, 2013, 2014)]
    methods = ["bray_p1"] * 3 + ["mehlich_3"] * 3
    (trend,) = fit(rows([20.0, 22, 24, 30, 33, 35], "phosphorus", sampled_on=years, method=methods))
    assert (trend.segments, trend.method, trend.n) == (2, "mehlich_3", 6)
    assert trend.span_years == pytest.approx(4.0, abs=0.01)


def test_a_laboratory_that_comes_back_is_the_laboratory_it_was() -> None:
    """Every other year at another laboratory, which finds a fifth more: the rise within each is used."""
    values = [4.0, 5.0, 4.4, 5.5, 4.84, 6.05]
    (trend,) = fit(rows(values, lab=["A", "B"] * 3))
    assert (trend.segments, len(trend.breaks)) == (2, 5)
    assert trend.slope_fit == pytest.approx(np.log(1.1) / 2, rel=0.02)
    assert trend.span_years == pytest.approx(5.0, abs=0.01)


def test_a_lone_report_before_a_change_has_no_line() -> None:
    (trend,) = fit(rows([9.0, 4.0, 4.4, 4.8], lab=["A", "B", "B", "B"]))
    assert trend.points[0].fitted is None
    assert trend.points[0].low is None
    assert all(point.fitted is not None for point in trend.points[1:])
    assert trend.level == pytest.approx(4.4, rel=0.01)
    assert trend.span_years == pytest.approx(2.0, abs=0.01)
    assert trend.df == 5  # three reports on one line, whatever the first one was


def test_the_change_is_told_at_the_level_of_the_latest_stretch() -> None:
    """10 % a year at two laboratories, one of which finds twice as much."""
    (trend,) = fit(rows([4.0, 4.4, 8.0, 8.8], lab=["A", "A", "B", "B"]))
    assert trend.slope_per_year == pytest.approx(np.log(1.1) * np.sqrt(8.0 * 8.8), rel=0.01)
    (back,) = fit(rows([8.0, 8.8, 4.0, 4.4], lab=["A", "A", "B", "B"]))
    assert back.slope_per_year == pytest.approx(np.log(1.1) * np.sqrt(4.0 * 4.4), rel=0.01)


def test_beds_with_different_histories_stand_side_by_side() -> None:
    found = fit(rows([4.0, 4.1, 5.0], bed="X", lab=["A", "A", "B"]), rows([4.0, 4.1, 4.2], bed="Y", lab="A"))
    assert [(trend.bed, trend.segments) for trend in found] == [("X", 2), ("Y", 1)]
