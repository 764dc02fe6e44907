"""Copied rows: the law of agreements against brute force, and the gardens it is meant for."""

from itertools import product

import numpy as np
import pytest
from scipy import stats

from soiltrend.checks.copies import at_least, repeated_values
from soiltrend.observations import to_frame
from tests.checks.gardens import evidence, row, series
from tests.simulated_gardens import SOIL, honest

LEVELS = {"ph": 6.4, "organic_matter": 3.2, "phosphorus": 45, "potassium": 161, "calcium": 1432, "zinc": 4.1}


def sample(bed, year, **changed):
    return [row(bed, year, a, v) for a, v in (LEVELS | changed).items()]


@pytest.mark.parametrize("agreements", range(5))
def test_the_chance_of_agreements_is_poisson_binomial(agreements):
    chances = np.array([0.2, 0.05, 0.5, 0.01])
    brute = sum(
        np.prod(np.where(hit, chances, 1 - chances))
        for hit in product([True, False], repeat=4)
        if sum(hit) >= agreements
    )
    assert at_least(agreements, chances) == pytest.approx(brute)


def test_equal_chances_make_it_binomial():
    assert at_least(3, np.full(10, 0.1)) == pytest.approx(stats.binom.sf(2, 10, 0.1))


def test_a_row_typed_twice_is_found_and_named():
    other = sample(
        "Bed 1", 2019, ph=6.5, organic_matter=3.0, phosphorus=50, potassium=150, calcium=1380, zinc=3.7
    )
    rows = sample("Bed 1", 2018) + other + sample("Bed 1", 2020)
    (finding,) = repeated_values(evidence(rows))
    assert finding.severity == "doubtful"
    assert finding.numbers["repeated"] == finding.numbers["compared"] == 6
    assert "Bed 1 of 10 April 2020 repeats 6 of 6 numbers of Bed 1 of 10 April 2018" in finding.text
    assert finding.causes[0].code == "copied"


def test_a_copy_between_beds_is_found():
    rows = sample("Bed 1", 2018) + sample("Bed 2", 2018)
    assert len(list(repeated_values(evidence(rows)))) == 1


def test_a_copy_with_one_number_altered_is_still_found():
    rows = sample("Bed 1", 2018) + sample("Bed 1", 2020, ph=6.5)
    assert len(list(repeated_values(evidence(rows)))) == 1


def test_one_equal_number_is_nothing():
    rows = [r for i, ph in enumerate([6.4, 6.4, 6.4, 6.4]) for r in [row("Bed 1", 2018 + i, "ph", ph)]]
    assert list(repeated_values(evidence(rows))) == []


def test_the_same_report_twice_is_no_copy_once_it_is_marked():
    again = [row("Bed 1", 2018, a, v, notes=("duplicate-of:reports/2018.csv",)) for a, v in LEVELS.items()]
    assert list(repeated_values(evidence(sample("Bed 1", 2018) + again))) == []


def test_two_samples_of_one_soil_agree_no_oftener_than_the_bound_says():
    table = honest(3, beds=40, years=2).observations
    for analyte in ("ph", "organic_matter", "phosphorus"):
        values = table[table["analyte"] == analyte].pivot(index="bed", columns="report", values="value")
        same = float((values.iloc[:, 0] == values.iloc[:, 1]).mean())
        soil = SOIL[analyte]
        spread = soil.noise if soil.raw else soil.noise * soil.level
        bound = 10.0**-soil.decimals / (2 * np.sqrt(np.pi) * spread)
        assert same <= bound + 4 * np.sqrt(bound / 40)


def test_an_empty_table_of_usable_rows_has_no_copies():
    rows = series("Bed 1", "zinc", [0.5, 0.5], qualifier="<")
    assert list(repeated_values(evidence(to_frame(rows)))) == []
