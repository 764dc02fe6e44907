"""A report against itself. Worked example: The Ideal Soil 2014, p. 48.

CEC 11.4; Ca 1250, Mg 116, K 89, Na 26 ppm make 54.8, 8.5, 2.0 and 1.0 % saturation by the divisors 200, 120,
390 and 230.
"""

import pytest

from soiltrend.checks.cations import cations_do_not_add_up
from tests.checks.gardens import evidence, row

W13 = {
    "cec": 11.4,
    "calcium": 1250.0,
    "magnesium": 116.0,
    "potassium": 89.0,
    "sodium": 26.0,
    "base_saturation_ca": 54.8,
    "base_saturation_mg": 8.5,
    "base_saturation_k": 2.0,
    "base_saturation_na": 1.0,
}


def sample(bed="Bed 1", year=2020, **values):
    printed = W13 | values
    units = {"cec": "meq/(100.g)"} | dict.fromkeys(("calcium", "magnesium", "potassium", "sodium"), "mg/kg")
    return [
        row(bed, year, a, v, unit=units.get(a, "%"), method="") for a, v in printed.items() if v is not None
    ]


def found(*rows):
    return list(cations_do_not_add_up(evidence(list(rows))))


def test_a_published_report_agrees_with_itself():
    assert found(*sample()) == []


@pytest.mark.parametrize(("hydrogen", "flagged"), [(33.7, False), (33.0, False), (20.0, True), (45.0, True)])
def test_saturations_with_the_acid_make_100(hydrogen, flagged):
    assert bool(found(*sample(base_saturation_h=hydrogen))) is flagged


def test_saturations_of_bases_alone_may_stay_below_100():
    assert found(*sample(base_saturation_ca=None)) == []


def test_a_cation_in_another_unit_contradicts_its_saturation():
    (finding,) = found(*sample(potassium=178.0))
    assert finding.analyte == "potassium"
    assert finding.severity == "doubtful"
    assert finding.causes[0].code == "unit-lb-acre"
    assert finding.arithmetic[0].startswith("178 ÷ 391 = 0.455")


def test_bases_above_a_capacity_by_summation_are_doubtful_and_above_another_a_note():
    bare = dict.fromkeys([a for a in W13 if a.startswith("base")])
    by_sum = sample(calcium=2600.0, **bare)
    measured = found(*by_sum)
    assert [f.severity for f in measured] == ["note"]
    stated = [
        row(r.bed, 2020, r.analyte, r.value, unit=r.unit, method="summation" if r.analyte == "cec" else "")
        for r in by_sum
    ]
    assert [f.severity for f in found(*stated)] == ["doubtful"]


def test_a_report_that_contradicts_itself_everywhere_is_one_finding():
    rows = [r for i in range(5) for r in sample(bed=f"Bed {i}", potassium=178.0)]
    (finding,) = found(*rows)
    assert finding.bed is None
    assert finding.numbers["samples"] == 5


def test_values_by_volume_are_not_summed():
    rows = [
        row(r.bed, 2020, r.analyte, r.value, unit="mg/dm3" if r.unit == "mg/kg" else r.unit, method="")
        for r in sample(potassium=178.0)
    ]
    assert found(*rows) == []
