"""Jumps, shifted reports and unit mix-ups in small gardens that a person can follow."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from soiltrend.checks.steps import jump_beyond_noise, unit_mixup, whole_report_shifted
from soiltrend.records.models import Bed
from tests.checks.gardens import applied, evidence, garden, row, series

FLAT = {
    "Bed 1": [44, 51, 42, 47, 42],
    "Bed 2": [31, 33, 26, 33, 30],
    "Bed 3": [61, 66, 57, 70, 60],
    "Bed 4": [48, 43, 45, 44, 50],
    "Bed 5": [39, 36, 38, 42, 35],
}


def phosphorus(change=lambda bed, year, value: value):
    return [
        r
        for bed, values in FLAT.items()
        for r in series(bed, "phosphorus", [change(bed, i, v) for i, v in enumerate(values)])
    ]


def only(found):
    (finding,) = found
    return finding


def test_flat_beds_raise_nothing():
    e = evidence(phosphorus())
    assert [*unit_mixup(e), *jump_beyond_noise(e), *whole_report_shifted(e)] == []


@pytest.mark.parametrize(
    ("factor", "code"),
    [
        (2.2914, "unit-p2o5"),  # P2O5 / 2 P by atomic weights
        (4.5827, "unit-p2o5-lb-acre"),
        (10.0, "unit-mg-100g"),
        (0.1, "unit-mg-100g-inverse"),
    ],
)
def test_a_whole_report_off_by_a_factor_is_a_unit_mix_up(factor, code):
    e = evidence(phosphorus(lambda bed, i, v: round(v * factor, 1) if i == 2 else v))
    finding = only(unit_mixup(e))
    assert finding.bed is None
    assert finding.analyte == "phosphorus"
    assert code in [cause.code for cause in finding.causes[:2]]
    assert finding.numbers["pattern"] == "one"
    assert finding.numbers["times"] == pytest.approx(factor, rel=0.15)
    assert len(finding.observations) == 5


def test_a_step_that_goes_back_weighs_more_than_one_that_stays():
    back = only(unit_mixup(evidence(phosphorus(lambda bed, i, v: round(v * 2.2914) if i == 2 else v))))
    stays = evidence(phosphorus(lambda bed, i, v: round(v * 2.2914) if i >= 2 else v))
    found = [*unit_mixup(stays), *whole_report_shifted(stays)]
    belief = [sum(c.weight for c in f.causes if c.code.startswith("unit")) for f in (back, only(found))]
    assert belief[0] > belief[1]


def test_one_bed_off_by_a_units_factor_is_less_a_unit_than_all_beds():
    whole = only(unit_mixup(evidence(phosphorus(lambda bed, i, v: round(v * 4.58) if i == 2 else v))))
    bed = evidence(phosphorus(lambda bed, i, v: round(v * 4.58) if i == 2 and bed == "Bed 3" else v))
    found = only([*unit_mixup(bed), *jump_beyond_noise(bed)])
    belief = [sum(c.weight for c in f.causes if c.code.startswith("unit")) for f in (whole, found)]
    assert belief[0] > belief[1]


def test_the_decimal_point_of_one_value_is_named_first():
    e = evidence(phosphorus(lambda bed, i, v: v * 10 if i == 3 and bed == "Bed 3" else v))
    finding = only(unit_mixup(e))
    assert (finding.bed, finding.causes[0].code) == ("Bed 3", "unit-decimal")
    assert finding.observations == ("reports/2021.csv: Bed 3 phosphorus",)


def test_the_first_report_can_be_the_odd_one():
    e = evidence(phosphorus(lambda bed, i, v: round(v * 2.2914) if i == 0 else v))
    finding = only(unit_mixup(e))
    assert finding.causes[0].code == "unit-p2o5"
    assert finding.numbers["date"].startswith("2018")


def test_elements_that_all_doubled_in_one_report_are_one_finding():
    levels = {"phosphorus": 1, "potassium": 4, "calcium": 35, "magnesium": 4.2}
    rows = [
        row(bed, 2018 + i, analyte, round(v * level * (2 if i == 2 else 1)))
        for analyte, level in levels.items()
        for bed, values in FLAT.items()
        for i, v in enumerate(np.roll(values, list(levels).index(analyte)))
    ]
    finding = only(unit_mixup(evidence(rows)))
    assert finding.analyte is None
    assert finding.causes[0].code == "unit-lb-acre"
    assert set(finding.numbers["analytes"]) == set(levels)


def test_ph_moves_by_units_not_by_factors():
    rows = [
        r
        for i, bed in enumerate(FLAT)
        for r in series(
            bed, "ph", [6.3 + i / 10, 6.4 + i / 10, 8.4 if bed == "Bed 2" else 6.3 + i / 10, 6.4, 6.3]
        )
    ]
    finding = only(jump_beyond_noise(evidence(rows)))
    assert finding.bed == "Bed 2"
    assert finding.numbers["change"] == pytest.approx(2.0, abs=0.1)
    assert "+2" in finding.text


def test_a_jump_that_the_records_explain_is_a_note():
    lime = applied("Bed 2", date(2019, 10, 1), "ground limestone", 15.0, "lb/100 ft2")
    beds = [Bed(bed=b, area_m2=10.0, texture="loam", bulk_density_g_cm3=1.3) for b in FLAT]
    rows = [
        r
        for bed in FLAT
        for r in series(bed, "ph", [5.3, 5.4, *([6.7, 6.8, 6.7] if bed == "Bed 2" else [5.3, 5.4, 5.4])])
    ]
    without = only(jump_beyond_noise(evidence(rows, garden(beds))))
    explained = only(jump_beyond_noise(evidence(rows, garden(beds, [lime]))))
    assert without.severity == "doubtful"
    assert (explained.severity, explained.causes[0].code) == ("note", "put-on")


def test_a_shifted_report_with_another_laboratory_is_laid_to_the_laboratory():
    def shifted(lab):
        rows = phosphorus(lambda bed, i, v: round(v * 1.9) if i >= 3 else v)
        return evidence([replace(r, lab=lab) if r.sampled_on.year >= 2021 else r for r in rows])

    same = only(whole_report_shifted(shifted("Hillview Soil Laboratory")))
    assert "laboratory" not in [cause.code for cause in same.causes]
    other = [*whole_report_shifted(shifted("Moorend Laboratory"))]
    assert other == [] or other[0].severity == "note"


def test_the_arithmetic_can_be_followed():
    e = evidence(phosphorus(lambda bed, i, v: round(v * 2.2914) if i == 2 else v))
    first = only(unit_mixup(e)).arithmetic[0]
    assert first == "Bed 1: other reports 44, 51, 47, 42, mean 46; this report 96; 96 ÷ 46 = 2.09"


def test_with_two_beds_nobody_knows_who_moved_but_a_report_is_still_weighed():
    rows = [
        r
        for bed in ("Bed 1", "Bed 4")
        for r in series(bed, "phosphorus", [v * (10 if i == 2 else 1) for i, v in enumerate(FLAT[bed])])
    ]
    found = list(unit_mixup(evidence(rows)))
    assert {f.bed for f in found} == {"Bed 1", "Bed 4"}


def test_values_below_a_limit_are_left_out():
    rows = [r for r in phosphorus() if r.bed != "Bed 5"]
    rows += [row("Bed 5", 2018 + i, "phosphorus", 3.0, qualifier="<") for i in range(5)]
    assert list(jump_beyond_noise(evidence(rows))) == []
