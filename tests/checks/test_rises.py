"""Rises against documented paces and against what was put on."""

from datetime import date

import numpy as np
import pytest

from soiltrend.checks.applied import char_counted, more_than_applied
from soiltrend.checks.pace import ceiling_of, faster_than_documented
from soiltrend.checks.rises import ramps, rises, shapes
from soiltrend.records.models import Bed
from tests.checks.gardens import applied, evidence, garden, series

FLAT = {f"Flat {i}": [3.0 + i / 10, 3.1, 3.0, 3.2 - i / 20, 3.0, 3.1] for i in range(5)}
DOUBLING = [2.0, 2.1, 2.6, 3.3, 4.1, 4.2]


def beds(*names, area=10.0):
    return [Bed(bed=name, area_m2=area, bulk_density_g_cm3=1.3) for name in names]


def table(values, analyte="organic_matter", **more):
    flat = [r for bed, vs in FLAT.items() for r in series(bed, analyte, [v * 1.0 for v in vs], **more)]
    return flat + series("Bed 1", analyte, values, **more)


def yearly(material, amount, unit, bed="Bed 1", years=range(2018, 2024)):
    return [applied(bed, date(year, 5, 2), material, amount, unit) for year in years]


def only(found):
    (finding,) = found
    return finding


def test_a_ramp_is_flat_then_straight_then_flat():
    times = np.arange(6.0)
    x = shapes(times)[:, 1 + ramps(6).index((1, 4))]
    assert x.tolist() == pytest.approx([0, 0, 1 / 3, 2 / 3, 1, 1])


def test_a_rise_is_dated_and_sized():
    rise = only(r for r in rises(evidence(table(DOUBLING))) if r.name == "Bed 1")
    assert (rise.start, rise.end) == (pytest.approx(2.05, rel=0.05), pytest.approx(4.15, rel=0.05))
    assert rise.panel.years[rise.first] == pytest.approx(19.3, abs=0.1)
    assert rise.years == pytest.approx(3.0, abs=0.05)
    assert 0 < rise.least < rise.change


def test_flat_beds_do_not_rise():
    assert rises(evidence(table([3.0, 3.2, 2.9, 3.1, 3.0, 3.1]))) == []


def test_doubling_in_three_years_without_records_is_doubtful_and_says_what_it_would_have_taken():
    finding = only(faster_than_documented(evidence(table(DOUBLING), garden(beds("Bed 1")))))
    assert finding.severity == "doubtful"
    assert finding.numbers["inputs"] == "unknown"
    assert finding.numbers["per_year"] == pytest.approx(0.7, abs=0.1)
    assert "wheelbarrows" in finding.text
    assert "kg/m²" in finding.text


def test_where_records_name_nothing_for_the_bed_the_ceiling_is_the_lowest():
    records = garden(beds("Bed 1", *FLAT), yearly("compost", 1.0, "cm deep", bed="Flat 1"))
    finding = only(faster_than_documented(evidence(table([2.0, 2.1, 3.1, 4.6, 6.0, 6.2]), records)))
    assert (finding.numbers["inputs"], finding.numbers["ceiling_per_year"]) == ("none", 0.2)
    assert finding.severity == "unbelievable"


@pytest.mark.parametrize(
    ("amount", "kind"),
    [(0.3, "farm"), (2.0, "farm"), (20.0, "garden")],
)
def test_the_ceiling_goes_by_what_was_put_on(amount, kind):
    records = garden(beds("Bed 1", *FLAT), yearly("compost", amount, "kg/m2"))
    e = evidence(table(DOUBLING), records)
    rise = only(r for r in rises(e) if r.name == "Bed 1")
    assert ceiling_of(rise, e).kind == kind


def test_a_thinner_layer_may_show_more():
    values = [2.0, 2.1, 3.1, 5.6, 8.0, 8.2]
    deep, thin = (
        only(faster_than_documented(evidence(table(values, depth_to_cm=depth)))) for depth in (15.0, 7.5)
    )
    assert thin.numbers["ceiling_per_year"] == pytest.approx(2 * deep.numbers["ceiling_per_year"])


def test_doubling_on_a_gallon_per_ten_square_feet_a_year_is_more_than_applied():
    records = garden(beds("Bed 1", *FLAT), yearly("compost", 1.0, "gal/10 ft2"))
    finding = only(more_than_applied(evidence(table([2.0, 2.0, 3.2, 4.7, 6.0, 6.1]), records)))
    assert finding.severity == "unbelievable"
    assert finding.numbers["least_change"] > finding.numbers["zero_loss"] > 0
    assert any("Nothing lost" in line for line in finding.arithmetic)


def test_six_inches_of_compost_dug_in_are_believed_at_six_points():
    records = garden(beds("Bed 1", *FLAT), [applied("Bed 1", date(2019, 5, 2), "compost", 6.0, "in deep")])
    e = evidence(table([3.0, 3.1, 9.0, 9.2, 9.1, 8.9]), records)
    assert list(more_than_applied(e)) == []
    assert list(faster_than_documented(e)) == []


def test_without_any_records_nothing_is_more_than_applied():
    assert list(more_than_applied(evidence(table(DOUBLING), garden(beds("Bed 1"))))) == []


def test_a_rise_of_phosphorus_beyond_the_gardens_of_the_record_is_faster_than_documented():
    # 142 gardens put on a median of 300 kg P/ha a year, at most +134 mg/kg (Small et al. 2019).
    values = [40, 42, 41, 400, 410, 405]
    finding = only(faster_than_documented(evidence(table(values, "phosphorus"))))
    assert finding.numbers["ceiling_per_year"] == 134.0


def test_char_is_counted_by_loss_on_ignition_and_hardly_by_walkley_black():
    char = [applied("Bed 1", date(2019, 5, 2), "wood char", 2.0, "kg/m2")]
    records = garden(beds("Bed 1", *FLAT), char)
    values = [3.0, 3.1, 3.8, 3.8, 3.9, 3.8]
    burnt = only(char_counted(evidence(table(values), records)))
    assert burnt.severity == "note"
    assert 0.3 < burnt.numbers["char"] < 1.2
    assert burnt.numbers["left"] == pytest.approx(0.8 - burnt.numbers["char"], abs=1e-3)
    wet = list(char_counted(evidence(table(values, method="walkley_black"), records)))
    assert not wet or wet[0].numbers["char"] < burnt.numbers["char"] / 3


def test_two_reports_of_one_bed_can_show_a_rise_but_not_a_small_one():
    small, large = (rises(evidence(series("Bed 1", "organic_matter", v))) for v in ([3.0, 3.6], [2.0, 8.0]))
    assert small == []
    assert only(large).change == pytest.approx(6.0, abs=0.1)
