"""Causes weighed together: shares of belief, and what moves them."""

from dataclasses import replace
from datetime import date

import pytest

from soiltrend.checks.departed import departed
from soiltrend.checks.pace import faster_than_documented
from soiltrend.records.models import Bed
from tests.checks.gardens import applied, evidence, findings_of, garden, row, series
from tests.simulated_gardens import STORIES

BEDS = {f"Bed {i}": 3.0 + i / 4 for i in range(6)}


def organic(values, others=lambda bed, i, level: level, **more):
    rows = [
        row(
            bed,
            2018 + i,
            "organic_matter",
            round(others(bed, i, level) * (1.02 if (i + int(level * 4)) % 2 else 0.98), 1),
            **more,
        )
        for bed, level in BEDS.items()
        for i in range(6)
        if bed != "Bed 0"
    ]
    return rows + series("Bed 0", "organic_matter", values, **more)


def codes(found):
    return [cause.code for cause in found.causes]


@pytest.mark.parametrize("story", STORIES)
def test_the_weights_of_a_finding_are_shares(story):
    for finding in findings_of(STORIES[story](1)):
        weights = [cause.weight for cause in finding.causes]
        assert weights == sorted(weights, reverse=True)
        assert all(0 <= weight <= 1 for weight in weights)
        assert sum(weights) <= 1.001


@pytest.mark.parametrize("story", ["oxide", "acre", "decimal", "shifted", "doubling", "gallon"])
def test_the_first_cause_is_never_noise_where_something_was_planted(story):
    planted = STORIES[story](2)
    found = [f for f in findings_of(planted) if f.code == planted.planted["code"]]
    assert found
    assert all(f.causes[0].code != "noise" for f in found)


def test_shorter_cores_explain_a_round_in_which_what_lies_on_top_rose():
    planted = STORIES["shifted"](2)
    (finding,) = [
        f for f in findings_of(planted) if f.code == "whole-report-shifted" and f.severity != "note"
    ]
    assert finding.causes[0].code == "short-cores"


def test_a_spike_of_organic_matter_in_one_bed_is_laid_to_pieces_or_a_slip_not_to_a_lasting_change():
    (found,) = departed(evidence(organic([3.0, 3.1, 8.0, 3.0, 3.1, 3.0])))
    assert found.anomaly.kind == "one"
    assert "real-change" not in codes(found)[:1]
    assert found.belief("amendment-pieces") > found.belief("real-change")


def test_a_step_that_stays_is_laid_to_a_lasting_change():
    (found,) = departed(evidence(organic([3.0, 3.1, 3.0, 7.0, 7.1, 6.9])))
    assert found.belief("real-change") > found.belief("amendment-pieces")


def test_records_raise_what_they_name_and_lower_what_they_do_not():
    rows = organic([3.0, 3.1, 3.0, 6.2, 6.3, 6.1])
    beds = [Bed(bed=b, area_m2=10.0, bulk_density_g_cm3=1.3) for b in BEDS]
    here = garden(beds, [applied("Bed 0", date(2020, 5, 2), "compost", 3.0, "in deep")])
    elsewhere = garden(beds, [applied("Bed 3", date(2020, 5, 2), "compost", 3.0, "in deep")])
    nothing, named, unnamed = (departed(evidence(rows, g))[0] for g in (garden(beds), here, elsewhere))
    assert nothing.belief("put-on") == 0
    assert named.belief("put-on") > 0.5
    assert unnamed.belief("put-on") == 0
    assert unnamed.belief("real-change") < nothing.belief("real-change")


def test_the_laboratory_is_a_cause_only_where_it_changed():
    rows = organic([3.0] * 6, lambda bed, i, level: level * (1.5 if i >= 3 else 1.0))
    rows = [r for r in rows if r.bed != "Bed 0"]
    moved = [replace(r, lab="Moorend Laboratory") if r.sampled_on.year >= 2021 else r for r in rows]
    (same,) = [d for d in departed(evidence(rows)) if d.bed is None]
    assert "laboratory" not in codes(same)
    assert all(d.belief("laboratory") > 0.2 for d in departed(evidence(moved)) if d.bed is None)


def test_char_is_weighed_where_char_was_put_on():
    rows = organic([3.0, 3.0, 4.0, 5.2, 6.3, 6.4])
    beds = [Bed(bed=b, area_m2=10.0, bulk_density_g_cm3=1.3) for b in BEDS]
    char = [applied("Bed 0", date(y, 5, 2), "wood char", 3.0, "kg/m2") for y in (2019, 2020, 2021)]
    e = evidence(rows, garden(beds, char))
    found = [*faster_than_documented(e), *departed(e)]
    assert any(cause.code in ("char", "put-on") for f in found for cause in f.causes)


def test_every_definite_cause_says_what_it_would_make():
    (finding,) = [f for f in findings_of(STORIES["oxide"](2)) if f.code == "unit-mixup"]
    assert finding.causes[0].text.endswith("that makes × 2.29.")
