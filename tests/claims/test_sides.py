"""'Has more than the others' is judged on levels side by side, against worked examples and known tables."""

import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from soiltrend.claims import Evidence, check_claim, understand
from soiltrend.noise import Noise
from soiltrend.observations import Observation, to_frame
from soiltrend.records.models import Bed, Garden
from tests.checks.gardens import TODAY


def measured(values: dict[str, list[float]], unit: str = "degF", measure: str = "soil_temperature") -> list:
    return [
        Observation(
            bed=bed, sample=bed, sampled_on=date(2024, 5, 1 + day), date_basis="sampled", analyte=measure,
            value=value, value_printed=str(value), unit=unit, method="own_measurement",
            source="measurements.csv", place=f"line {day}",
        )
        for bed, row in values.items()
        for day, value in enumerate(row)
    ]  # fmt: skip


def evidence(rows: list, **beds: dict) -> Evidence:
    garden = Garden(folder=Path("garden"), beds=tuple(Bed(bed=name, **more) for name, more in beds.items()))
    return Evidence(garden=garden, observations=to_frame(rows), trends=(), noise=Noise(), today=TODAY)


# Student's sleep data, Cushny and Peebles 1905: extra hours of sleep of ten patients under two drugs, as in
# R's `datasets::sleep`; paired t: 95 % interval -2.4598858 to -0.7001142, t -4.062128 on 9 df.
FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_one_bed_against_one_is_the_paired_t_of_their_days():
    given = evidence(measured({"Alder": FIRST, "Birch": SECOND}), Alder={}, Birch={})
    (judged,) = check_claim("Alder is warmer than Birch", given)
    assert judged.numbers["difference_low"] == pytest.approx(-2.4598858, abs=1e-6)
    assert judged.numbers["difference_high"] == pytest.approx(-0.7001142, abs=1e-6)
    assert judged.verdict == "contradicted"
    assert "one-bed-a-side" in {reason.code for reason in judged.reasons}


def test_groups_are_the_pooled_t_of_the_beds_levels():
    """scipy.stats.ttest_ind on the beds' means, where beds differ more than their days do."""
    levels = {"A": 60.0, "B": 66.0, "C": 63.0, "D": 58.0, "E": 55.0}
    beds = {name: {"treatment": "compost" if name in "ABC" else ""} for name in levels}
    rows = measured({name: [level, level + 1.0, level + 0.5] for name, level in levels.items()})
    (judged,) = check_claim("The compost beds are warmer than the control beds", evidence(rows, **beds))
    ours, theirs = [60.0, 66.0, 63.0], [58.0, 55.0]
    interval = stats.ttest_ind(ours, theirs).confidence_interval(0.95)
    assert judged.numbers["difference_low"] == pytest.approx(interval.low)
    assert judged.numbers["difference_high"] == pytest.approx(interval.high)


def test_beds_that_agree_by_luck_get_the_error_of_their_days():
    rng = np.random.default_rng(7)
    day = rng.normal(0, 3, (4, 6))
    day -= day.mean(axis=1, keepdims=True)  # every bed has the same mean
    rows = measured({name: list(60 + day[i]) for i, name in enumerate("ABCD")})
    beds = {name: {"treatment": "compost" if name in "AB" else ""} for name in "ABCD"}
    (judged,) = check_claim("The compost beds are warmer than the control beds", evidence(rows, **beds))
    assert judged.numbers["difference_high"] - judged.numbers["difference_low"] > 2.0


def test_amounts_of_a_whole_bed_are_compared_per_area():
    rows = measured({"Alder": [40.0, 44.0, 42.0], "Birch": [20.0, 22.0, 21.0]}, "lb", "yield")
    given = evidence(rows, Alder={"area_m2": 20.0}, Birch={"area_m2": 10.0})
    (judged,) = check_claim("Alder yields more than Birch", given)
    assert judged.numbers["per_area"]
    assert judged.numbers["difference"] == pytest.approx(0.0, abs=1e-9)


def test_only_days_that_both_sides_share_count():
    rows = measured({"Alder": [60.0, 61.0, 62.0], "Birch": [59.0, 60.5]})
    (judged,) = check_claim("Alder is warmer than Birch", evidence(rows, Alder={}, Birch={}))
    assert judged.numbers["n"] == 2


def test_one_shared_day_of_two_beds_is_too_few():
    given = evidence(measured({"Alder": [60.0], "Birch": [59.0]}), Alder={}, Birch={})
    (judged,) = check_claim("Alder is warmer than Birch", given)
    assert (judged.verdict, judged.reasons[0].code) == ("untestable", "too-few")


def test_a_difference_has_a_cause_only_where_lot_decided():
    levels = {"A": 70.0, "B": 71.0, "C": 69.5, "D": 58.0, "E": 57.0, "F": 58.5}
    rows = measured({name: [level, level + 0.5] for name, level in levels.items()})

    def verdict(assigned: str) -> str:
        beds = {n: {"treatment": "compost" if n in "ABC" else "", "assigned": assigned} for n in levels}
        text = "Thanks to compost the compost beds are warmer than the control beds"
        return check_claim(text, evidence(rows, **beds))[0].verdict

    assert (verdict("random"), verdict("chosen")) == ("supported", "unproven")


LEVELS = [
    ("OM is higher in the compost beds than in the controls", True),
    ("The compost beds need half as much water as the others", True),
    ("Compost beds yield more than the control beds", True),
    ("Organic matter rose more in the compost beds than in the controls", False),
    ("The compost beds gained more organic matter than the control beds did", False),
    ("Potassium climbed faster than in the controls", False),
]


@pytest.mark.parametrize(("text", "by_level"), LEVELS)
def test_how_sides_stand_is_told_from_how_they_moved(text, by_level):
    (statement,) = understand(text)
    assert statement.against_controls
    assert statement.by_level == by_level


def test_a_ratio_of_sides_is_that_of_their_geometric_means():
    rows = measured({"Alder": [20.0, 80.0], "Birch": [10.0, 40.0]}, "gal", "water_given")
    (judged,) = check_claim("Alder gets twice as much water as Birch", evidence(rows, Alder={}, Birch={}))
    assert judged.numbers["difference"] == pytest.approx(1.0)
    assert math.isclose(judged.numbers["difference_low"], 1.0, abs_tol=1e-9)
