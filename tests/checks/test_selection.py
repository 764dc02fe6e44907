"""Regression to the mean. Barnett, van der Pols and Dobson 2005, Int. J. Epidemiol. 34:215-220."""

from datetime import date

import numpy as np
import pytest

from soiltrend.checks.selection import chosen_because_low, rebound, reliability
from soiltrend.records.models import Bed
from tests.checks.gardens import applied, evidence, garden, series, simulated_evidence
from tests.simulated_gardens import worst_bed

LEVELS = [2.1, 2.6, 3.1, 3.4, 3.7, 3.9, 4.4]


def test_one_point_below_the_mean_at_reliability_0_7_rebounds_0_3():
    # constructed: (1 - 0.7) x 1.0
    assert rebound(0.7, 1.0) == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("rho", "fake"), [(0.1, 24.27), (0.3, 18.88), (0.5, 13.49), (0.7, 8.09), (0.9, 2.70)]
)
def test_the_rebound_averages_to_barnetts_equation(rho, fake):
    """Mean 60, SD 15, those below 40 chosen: the published expected rise, here as a mean over beds."""
    draws = 60 + 15 * np.random.default_rng(9).standard_normal(400_000)
    chosen = draws[draws < 40]
    assert rebound(rho, float(np.mean(60 - chosen))) == pytest.approx(fake, rel=0.01)


@pytest.mark.parametrize(
    ("between", "noise", "reports", "rho"), [(3.0, 1.0, 1, 0.75), (3.0, 1.0, 3, 0.9), (0.0, 1.0, 1, 0.0)]
)
def test_reliability_is_the_real_share_of_the_spread(between, noise, reports, rho):
    assert reliability(between, noise, reports) == pytest.approx(rho)


def bed_rows(second):
    rows = []
    for i, level in enumerate(LEVELS):
        values = [level, second if i == 0 else level, second if i == 0 else level]
        rows += series(f"Bed {i}", "organic_matter", values)
    return rows


def records(because="lowest organic matter", amendments=()):
    return garden(
        [Bed(bed=f"Bed {i}", area_m2=10.0, chosen_because=because if i == 0 else "") for i in range(7)],
        amendments,
    )


def test_a_rise_that_luck_alone_can_make_is_doubtful_or_noted_with_its_size():
    (finding,) = chosen_because_low(evidence(bed_rows(2.3), records()))
    assert finding.bed == "Bed 0"
    assert 0 < finding.numbers["expected_fake_rise"] < 0.3
    assert finding.numbers["shown_rise"] == pytest.approx(0.2, abs=0.05)
    assert finding.numbers["reliability"] > 0.7


def test_a_large_rise_is_laid_to_the_bed_itself():
    (finding,) = chosen_because_low(evidence(bed_rows(5.0), records()))
    assert finding.severity == "note"
    assert finding.causes[0].code == "real-change"


def test_the_arithmetic_of_the_rebound_can_be_followed():
    (finding,) = chosen_because_low(evidence(bed_rows(2.3), records()))
    rho, start, mean = (finding.numbers[k] for k in ("reliability", "start", "mean_of_beds"))
    assert start * (mean / start) ** (1 - rho) - start == pytest.approx(
        finding.numbers["expected_fake_rise"], abs=0.01
    )


@pytest.mark.parametrize(
    ("because", "beds", "count"),
    [("", 7, 0), ("lowest organic matter", 5, 0), ("lowest organic matter", 7, 1), ("lowest P", 7, 1)],
)
def test_it_needs_a_reason_and_six_beds(because, beds, count):
    rows = [r for r in bed_rows(2.3) if int(r.bed.split()[1]) < beds]
    assert len(list(chosen_because_low(evidence(rows, records(because))))) == count


def test_reports_before_the_first_application_make_the_start_together():
    compost = applied("Bed 0", date(2019, 6, 1), "compost", 1.0, "kg/m2")
    (one,) = chosen_because_low(evidence(bed_rows(2.3), records()))
    (two,) = chosen_because_low(evidence(bed_rows(2.3), records(amendments=[compost])))
    assert (one.numbers["baseline_reports"], two.numbers["baseline_reports"]) == (1, 2)
    assert two.numbers["reliability"] > one.numbers["reliability"]


def test_the_worst_of_twelve_beds_comes_back_as_far_as_said_on_average():
    """Nothing changed in these gardens: what the later reports show is the rebound that was announced."""
    said, shown = [], []
    for seed in range(40):
        for finding in chosen_because_low(simulated_evidence(worst_bed(seed))):
            start = finding.numbers["start"]
            said.append(np.log1p(finding.numbers["expected_fake_rise"] / start))
            shown.append(np.log1p(finding.numbers["shown_rise"] / start))
    assert len(said) == 40
    error = np.std(np.array(shown) - said, ddof=1) / np.sqrt(40)
    assert np.mean(shown) == pytest.approx(np.mean(said), abs=3 * error)
    assert np.mean(said) > 0.02
