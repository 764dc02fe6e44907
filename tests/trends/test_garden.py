"""The garden as a whole: years are the replicates, never the beds."""

import numpy as np
import pandas as pd
import pytest

from soiltrend.noise import Noise
from soiltrend.regression import fit_lines, moderate
from soiltrend.trends import fit_trends, garden_trends
from tests.trends.tables import flat_garden, rows, table

NOISE = Noise()


def garden_om(frame):
    return next(t for t in garden_trends(frame, NOISE) if t.analyte == "organic_matter")


def test_the_trend_of_the_garden_is_a_line_through_its_yearly_means() -> None:
    frame = flat_garden(1, 6, 5)
    trend = garden_om(frame)
    own = frame[frame["analyte"] == "organic_matter"]
    mean = np.log(own["value"]).groupby(own["sampled_on"]).mean()
    years = (mean.index - pd.Timestamp("1970-01-01")).days / 365.25
    lines = fit_lines(np.zeros(5, int), years, mean.to_numpy())
    assert (trend.bed, trend.n, trend.segments) == ("(all beds)", 5, 1)
    assert trend.slope_fit == pytest.approx(lines.slope[0], rel=1e-9)
    _, df, se = moderate(lines, trend.s0, 4.0)
    assert (trend.se_fit, trend.df) == (pytest.approx(se[0], rel=1e-9), df[0])


def test_its_noise_is_the_shared_year_and_one_beds_rest_over_the_beds() -> None:
    prior = NOISE.of("bulk_density", "g/cm3")
    parts = [rows([1.2, 1.3, 1.25], "bulk_density", f"Bed {i}") for i in range(4)]
    (trend,) = garden_trends(table(*parts), NOISE)
    assert trend.s0**2 == pytest.approx(prior.year**2 + (prior.s0**2 - prior.year**2) / 4, rel=1e-9)
    assert trend.d0 == 4


def test_a_bed_that_is_missing_in_a_year_does_not_move_the_mean() -> None:
    """Rich bed and poor bed, the rich one not sampled in the last year: nothing fell."""
    parts = [rows([8.0, 8.0, 8.0], bed="Rich"), rows([2.0] * 4, bed="Poor"), rows([3.0] * 4, bed="Middle")]
    (trend,) = garden_trends(table(*parts), NOISE)
    assert trend.slope_fit == pytest.approx(0.0, abs=1e-12)
    assert trend.n == 4


def test_beds_that_share_no_year_are_not_compared() -> None:
    parts = [
        rows([2.0, 2.0], bed="A", sampled_on=["2010-05-01", "2012-05-01"]),
        rows([2.0, 2.0], bed="B", sampled_on=["2010-05-01", "2012-05-01"]),
        rows([6.0, 6.0], bed="C", sampled_on=["2015-05-01", "2017-05-01"]),
    ]
    (trend,) = garden_trends(table(*parts), NOISE)
    assert trend.slope_fit == pytest.approx(0.0, abs=1e-12)
    assert trend.segments == 2


def test_a_change_of_laboratory_has_a_level_of_its_own() -> None:
    labs = ["A", "A", "B", "B"]
    parts = [rows([4.0, 4.0, 6.0, 6.0], bed=f"Bed {i}", lab=labs) for i in range(3)]
    (trend,) = garden_trends(table(*parts), NOISE)
    assert trend.segments == 2
    assert trend.slope_fit == pytest.approx(0.0, abs=1e-12)
    assert trend.breaks == ("2017-10-01 laboratory A to B",)


def test_one_bed_is_no_garden() -> None:
    assert garden_trends(table(rows([4.0, 4.2, 4.4])), NOISE) == []
    assert garden_trends(table(), NOISE) == []
    assert garden_trends(table(rows([4.0], bed="A"), rows([4.0], bed="B")), NOISE) == []


def test_beds_with_values_below_a_limit_are_left_out_of_the_means() -> None:
    parts = [rows([1.0, 1.1, 1.2], "zinc", f"Bed {i}") for i in range(3)]
    hidden = rows([0.5, 0.5, 9.0], "zinc", "Hidden", qualifier=["<", "<", ""])
    with_hidden, without = (garden_trends(table(*p), NOISE)[0] for p in ([*parts, hidden], parts))
    assert with_hidden.slope_fit == pytest.approx(without.slope_fit)


def test_points_of_the_garden_are_means_and_lead_to_no_row() -> None:
    trend = garden_om(flat_garden(2, 4, 4))
    assert {(point.row, point.place) for point in trend.points} == {(-1, "mean of the year")}
    assert "yearly means" in trend.sentence


def test_a_year_that_all_beds_share_is_not_taken_for_thirty_proofs() -> None:
    """Year effect 5 %, bed noise 10 %, 30 beds, 4 years (this project's own simulation, table 4).

    A t test over bed slopes calls half of such gardens changing; yearly means 1-4 %.
    """
    rng = np.random.default_rng(8)
    garden = Noise({"organic_matter": {"lab_cv_pct": 0, "core_cv_pct": 38.73, "year_cv_pct": 5}}, cores=15)
    shown = by_slopes = 0
    for _ in range(60):
        year = rng.normal(0, 0.05, 4)
        frame = table(
            *(rows((4 * np.exp(year + rng.normal(0, 0.1, 4))).tolist(), bed=f"Bed {i}") for i in range(30))
        )
        (trend,) = garden_trends(frame, garden)
        shown += trend.verdict != "no-change-shown"
        slopes = np.array([t.slope_fit for t in fit_trends(frame, garden)])
        by_slopes += abs(slopes.mean()) > 2.045 * slopes.std(ddof=1) / np.sqrt(30)
    assert shown <= 6
    assert by_slopes >= 20
