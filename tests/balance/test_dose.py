from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance import build
from soiltrend.balance.dose import COLUMNS, Dose, dose
from soiltrend.errors import SoiltrendError
from soiltrend.records.models import Amendment, Bed, Sampling, Soil
from tests.balance.gardens import SLICE, Material, garden
from tests.balance.test_mixes import CHARGED
from tests.balance.test_rows import trend

DAY = date(2030, 4, 1)
BEDS = (Bed(bed="A", area_m2=9.290304), Bed(bed="B", area_m2=18.580608, treatment="char"))
GARDEN = garden(
    beds=BEDS,
    mixes=CHARGED,
    units="us",
    sampling=Sampling(depth_cm=15.24),
    soil=Soil(bulk_density_g_cm3=SLICE),
)


def planned(material: str = "standard compost", rate: str = "1 in deep", **given: Any) -> Dose:
    return dose(given.pop("garden", GARDEN), material, rate, today=DAY, **given)


def value(made: Dose, bed: str, what: str, name: str, unit: str | None = None) -> dict[str, Any]:
    rows = [
        row
        for row in made.records()
        if (row["bed"], row["what"], row["name"]) == (bed, what, name) and unit in (None, row["unit"])
    ]
    assert len(rows) == 1, rows
    return rows[0]


def test_an_inch_on_a_hundred_square_feet_is_twelve_and_a_half_buckets() -> None:
    # 1 in over 1000 ft² is 125 five-gallon buckets or 3.086 yd³.
    row = value(planned(), "A", "amount", "standard compost", "bucket")
    assert row["typical"] == pytest.approx(12.5, abs=0.05)
    assert row["low"] == row["high"]


def test_all_beds_together_are_their_sum() -> None:
    made = planned()
    each = [value(made, bed, "amount", "standard compost", "gal")["typical"] for bed in "AB"]
    assert value(made, "all", "amount", "standard compost", "gal")["typical"] == pytest.approx(
        sum(each), rel=1e-5
    )


def test_a_mix_is_scaled_to_the_bed_ingredient_by_ingredient() -> None:
    made = planned("charged char", "1 gal/10 ft2", beds=["A"])
    char = value(made, "A", "ingredient", "wood char", "gal")["typical"]
    manure = value(made, "A", "ingredient", "aged manure", "gal")["typical"]
    molasses = value(made, "A", "ingredient", "blackstrap molasses", "gal")["typical"]
    assert (char, manure, molasses) == pytest.approx((20 / 3, 10 / 3, 0.5 / 3), rel=1e-5)


def test_what_it_carries_is_what_the_balance_would_add_up() -> None:
    made = planned("compost", "2 kg/m2", beds=["A"], garden=GARDEN.model_copy(update={"units": "metric"}))
    row = Amendment(date=DAY, bed="A", material="compost", amount=2, unit="kg/m2")
    added = build(GARDEN.model_copy(update={"amendments": (row,)}), DAY).total("A")
    for quantity in ("n", "p", "k", "salts", "lime_equivalent", "organic_matter"):
        carried = value(made, "A", "carries", quantity)
        assert carried["unit"] == "kg"
        assert carried["typical"] == pytest.approx(added[quantity].typical * 9.290304, rel=1e-5)


@settings(deadline=None, max_examples=30)
@given(st.floats(0.1, 50), st.floats(1.1, 10))
def test_a_dose_is_linear(amount: float, factor: float) -> None:
    one, more = (planned("compost", f"{much:.6f} kg/m2", beds=["A"]) for much in (amount, amount * factor))
    ratio = value(more, "A", "carries", "p")["high"] / value(one, "A", "carries", "p")["high"]
    assert ratio == pytest.approx(factor, rel=1e-4)


def test_a_share_is_of_the_dug_layer() -> None:
    # 5 % of 6 in is 0.3 in.
    row = value(planned(rate="5 %", mixed_to="6 in", beds=["A"]), "A", "amount", "standard compost", "bucket")
    assert row["typical"] == pytest.approx(0.3 * 12.5, abs=0.02)


def test_a_share_of_pots_is_of_their_volume() -> None:
    made = planned(rate="10 % by volume", containers="12 x 5 gal")
    assert value(made, "12 x 5 gal", "amount", "standard compost", "gal")["typical"] == pytest.approx(6)


def test_an_amount_may_be_for_each_pot() -> None:
    made = planned(rate="1 cup", containers="16 x 1 gal")
    assert value(made, "16 x 1 gal", "amount", "standard compost", "gal")["typical"] == pytest.approx(1)


def test_a_bed_without_area_gets_amounts_per_square_metre() -> None:
    made = planned(garden=garden(beds=(Bed(bed="A"),)), rate="3 kg/m2")
    assert value(made, "A", "amount", "standard compost", "kg/m2")["typical"] == pytest.approx(3)


def test_an_amount_for_a_bed_without_area_has_no_change() -> None:
    made = planned(garden=garden(beds=(Bed(bed="A"),)), rate="3 bucket")
    assert value(made, "A", "amount", "standard compost", "bucket")["typical"] == pytest.approx(3)
    assert not [row for row in made.records() if row["what"] == "change"]


def test_the_change_is_expected_and_largest() -> None:
    row = value(planned(mixed_to="6 in", beds=["A"]), "A", "change", "organic_matter")
    assert 0 < row["low"] <= row["typical"] <= row["high"]
    # 1 in of standard compost in 2,000,000 lb/ac at 3 %: (224.2 × 0.03 + 3.77) / (224.2 + 7.53).
    assert row["largest"] == pytest.approx(1.527, abs=0.01)


@pytest.mark.parametrize(
    ("rate", "visible"), [("3 in deep", "yes"), ("0.5 in deep", "perhaps"), ("0.01 in deep", "no")]
)
def test_whether_two_tests_could_see_it(rate: str, visible: str) -> None:
    made = planned(rate=rate, beds=["A"], trends=[trend()])
    row = value(made, "A", "change", "organic_matter")
    # 95 % difference between two single results: 2.77 × 5 % of 3 %.
    assert row["smallest_detectable"] == pytest.approx(2.77 * 0.05 * 3.0)
    assert row["visible"] == visible


def test_without_noise_nobody_knows_whether_it_shows() -> None:
    assert value(planned(beds=["A"]), "A", "change", "organic_matter")["visible"] is None


def test_a_given_smallest_difference_counts() -> None:
    made = planned(beds=["A"], smallest_detectable={("A", "organic_matter"): 9.0})
    assert value(made, "A", "change", "organic_matter")["visible"] == "no"


def test_repeated_every_year_it_goes_on_rising_but_not_above_the_material() -> None:
    made = planned(rate="1 in deep", beds=["A"])
    short = value(made, "A", "level after 3 yearly doses", "organic_matter")
    long = value(made, "A", "level after 10 yearly doses", "organic_matter")
    assert 3 < short["typical"] < long["typical"] <= 50
    deep = value(planned(rate="12 in deep", beds=["A"]), "A", "level after 10 yearly doses", "organic_matter")
    assert deep["high"] <= 50 + 1e-9


def test_rows_have_the_columns() -> None:
    assert all(tuple(row) == COLUMNS for row in planned().records())


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"material": "compots"}, "found 'compots'. Nearest known: compost"),
        ({"rate": "1 furlong"}, "found 'furlong'"),
        ({"rate": "lots"}, "a number above zero and a unit"),
        ({"rate": "120 %"}, "a share between 0 and 100 %"),
        ({"beds": ["C"]}, "bed: expected a bed of beds.csv, a treatment or 'all', found 'C'"),
        ({"containers": "12"}, "expected"),
        ({"containers": "12 x 5 lb", "rate": "5 %"}, "pots as number x volume"),
        ({"containers": "12 x 5 gal", "rate": "1 in deep"}, "a share of the pots or an amount for each"),
        ({"mixed_to": "6 lb"}, "a depth"),
        ({"rate": "2 batch"}, "is no mix"),
        ({"garden": garden(beds=())}, "--containers"),
    ],
)
def test_a_plan_that_does_not_fit_is_named(changed: dict[str, Any], message: str) -> None:
    with pytest.raises(SoiltrendError) as caught:
        planned(**changed)
    assert message in str(caught.value)


def test_batches_of_a_mix_may_be_planned() -> None:
    row = value(planned("charged char", "2 batch", beds=["A"]), "A", "ingredient", "wood char", "gal")
    assert row["typical"] == pytest.approx(40 / 3.785411784, rel=1e-5)


def test_what_was_filled_up_is_said() -> None:
    own = garden(beds=BEDS, materials=(Material(material="compost", dry_matter_pct=50),))
    assert any("n_pct" in note for note in planned("compost", garden=own).notes)
