"""Samples that changed places: all analytes together, against each bed's own history."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from soiltrend.checks.profiles import costs
from soiltrend.checks.swaps import _chance, cycles, profiles_of, samples_swapped
from soiltrend.records.models import Bed
from tests.checks.gardens import applied, evidence, garden, row, simulated_evidence
from tests.simulated_gardens import STORIES, finish, honest, simulate

LEVELS = {
    "Bed 1": {"ph": 5.8, "organic_matter": 2.4, "phosphorus": 22, "potassium": 95, "calcium": 980},
    "Bed 2": {"ph": 6.9, "organic_matter": 4.8, "phosphorus": 88, "potassium": 260, "calcium": 2100},
    "Bed 3": {"ph": 6.3, "organic_matter": 3.4, "phosphorus": 45, "potassium": 160, "calcium": 1400},
    "Bed 5": {"ph": 6.0, "organic_matter": 2.9, "phosphorus": 36, "potassium": 190, "calcium": 1200},
    "Bed 6": {"ph": 6.7, "organic_matter": 4.0, "phosphorus": 60, "potassium": 120, "calcium": 1750},
    "Bed 4": {"ph": 6.4, "organic_matter": 3.2, "phosphorus": 52, "potassium": 140, "calcium": 1500},
}


def rows(names=None, year=2020):
    """Five years of six beds; in one year the samples carry other beds' ``names``."""
    rng = np.random.default_rng(8)
    found = []
    for t in range(2018, 2023):
        for bed, levels in LEVELS.items():
            called = (names or {}).get(bed, bed) if t == year else bed
            for analyte, level in levels.items():
                wobble = rng.normal(0, 0.1) if analyte == "ph" else level * rng.normal(0, 0.08)
                found.append(row(called, t, analyte, round(level + wobble, 1)))
    return found


def test_samples_in_their_places_raise_nothing():
    assert list(samples_swapped(evidence(rows()))) == []


def test_two_samples_that_changed_places_are_named():
    (finding,) = samples_swapped(evidence(rows({"Bed 1": "Bed 2", "Bed 2": "Bed 1"})))
    assert finding.numbers["beds"] == ["Bed 1", "Bed 2"]
    assert finding.numbers["like"] == ["Bed 2", "Bed 1"]
    assert finding.numbers["date"].startswith("2020")
    assert finding.causes[0].code == "samples-swapped"
    assert len(finding.observations) == 10


def test_a_row_of_labels_that_slipped_by_one_is_a_cycle():
    slipped = {"Bed 1": "Bed 2", "Bed 2": "Bed 3", "Bed 3": "Bed 1"}
    (finding,) = samples_swapped(evidence(rows(slipped)))
    like = dict(zip(finding.numbers["beds"], finding.numbers["like"], strict=True))
    assert like == {"Bed 2": "Bed 1", "Bed 3": "Bed 2", "Bed 1": "Bed 3"}


@pytest.mark.parametrize("year", [2018, 2022])
def test_the_first_and_the_last_report_can_be_the_swapped_one(year):
    (finding,) = samples_swapped(evidence(rows({"Bed 1": "Bed 2", "Bed 2": "Bed 1"}, year)))
    assert finding.numbers["date"].startswith(str(year))


def test_one_analyte_alone_does_not_swap_beds():
    swapped = rows({"Bed 1": "Bed 2", "Bed 2": "Bed 1"})
    plain = rows()
    mixed = [s if s.analyte == "organic_matter" else p for s, p in zip(swapped, plain, strict=True)]
    assert list(samples_swapped(evidence(mixed))) == []


def test_beds_that_are_alike_cannot_be_told_apart():
    same = [
        replace(r, value=LEVELS["Bed 3"][r.analyte] * (1.0 + 0.01 * (r.sampled_on.year % 3))) for r in rows()
    ]
    assert list(samples_swapped(evidence(same))) == []


def test_a_lost_decimal_point_does_not_swap_beds():
    odd = [
        replace(r, value=r.value * 10)
        if (r.bed, r.analyte, r.sampled_on.year) == ("Bed 1", "potassium", 2020)
        else r
        for r in rows()
    ]
    assert list(samples_swapped(evidence(odd))) == []


def test_the_law_of_the_gain_holds_for_honest_samples():
    """Under honest noise the gain of a fixed exchange has the mean and variance that the module states."""
    scores = []
    for seed in range(30):
        profiles = profiles_of(3, simulated_evidence(honest(seed, beds=10)))
        cost, apart = costs(profiles)
        for i, j in ((0, 1), (2, 3), (4, 5), (6, 7), (8, 9)):
            gain = cost[i, i] + cost[j, j] - cost[i, j] - cost[j, i]
            q = 2 * apart[i, j].sum()
            usual = 2 * (1 / (profiles.reports + 1)).sum() - q / 2
            scores.append((gain - usual) / np.sqrt(q))
    assert np.mean(scores) == pytest.approx(0.0, abs=0.3)
    assert np.std(scores) == pytest.approx(1.0, abs=0.2)


def test_more_beds_make_an_exchange_less_surprising():
    few, many = (profiles_of(2, simulated_evidence(honest(1, beds=n))) for n in (4, 20))
    each = np.full(len(few.panels), 5.0)
    assert _chance(20.0, each, 2, few) < _chance(20.0, each, 2, many)


def test_an_exchange_within_a_longer_cycle_is_preferred_where_it_explains_more():
    planted = STORIES["swapped"](112)
    number = planted.planted["year"] - 2018
    found = [set(c.beds) for c in cycles(profiles_of(number, simulated_evidence(planted)))]
    assert any(planted.planted["beds"] <= beds for beds in found)


def test_two_beds_alone_are_not_compared():
    assert list(samples_swapped(simulated_evidence(finish(simulate(1, beds=2))))) == []


def composted(year=2018):
    """Four beds alike until compost goes on two of them after the first report, and stays to be seen."""
    rng = np.random.default_rng(3)
    found = []
    for t in range(year, year + 4):
        for bed in ("Bed 1", "Bed 2", "Bed 3", "Bed 4"):
            rich = t > year and bed in ("Bed 3", "Bed 4")
            for analyte, level in LEVELS["Bed 3"].items():
                wobble = rng.normal(0, 0.04 if analyte == "ph" else 0.03)
                risen = level + 0.4 * rich if analyte == "ph" else level * (1.35 if rich else 1.0)
                found.append(
                    row(bed, t, analyte, risen + wobble if analyte == "ph" else risen * (1 + wobble))
                )
    return found


@pytest.mark.parametrize("recorded", [True, False])
def test_beds_alike_until_compost_went_on_one_were_not_exchanged(recorded):
    heap = [applied(bed, date(2018, 5, 1), "compost", 3, "cm deep") for bed in ("Bed 3", "Bed 4")]
    records = garden([Bed(bed=f"Bed {n}") for n in range(1, 5)], heap if recorded else ())
    assert list(samples_swapped(evidence(composted(), records))) == []
