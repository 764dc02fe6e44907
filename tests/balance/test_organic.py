from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance import Balance, Possible
from soiltrend.records.models import Bed
from tests.balance.gardens import Material, balance, slice_garden, spread, yearly

START, YEAR, THREE = date(2021, 3, 1), date(2022, 3, 1), date(2024, 3, 1)
CHAR = Material(
    material="house char",
    bulk_density_kg_m3=200,
    dry_matter_pct=99,
    organic_matter_pct=85,
    carbon_pct=75,
    char_carbon_pct=75,
)


def change(
    made: Balance, start: float = 2.0, end: date = YEAR, method: str = "loss_on_ignition", **given: object
) -> Possible:
    found = made.possible("A", "organic_matter", START, end, start, method=method, **given)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_a_bed_without_inputs_has_only_what_grew_in_it() -> None:
    # No known imports: at most 0.20 points a year in 15 cm (derived ceiling).
    made = balance(
        spread("2021-04-01", "compost", 3, "kg/m2", bed="B"),
        beds=(Bed(bed="A", bulk_density_g_cm3=1.3), Bed(bed="B")),
    )
    found = change(made, end=THREE)
    assert found.recorded
    assert (found.inputs_only, found.applications) == (0, 0)
    assert found.zero_loss == pytest.approx(0.6, abs=0.01)
    assert "Nothing was put on A" in found.arithmetic[1]


def test_without_any_records_nothing_is_known_of_inputs() -> None:
    found = change(balance())
    assert not found.recorded
    assert "nothing is known of what was put on" in found.arithmetic[1]


def test_what_went_on_before_the_first_sample_does_not_count() -> None:
    before = slice_garden(spread("2021-02-01", "standard compost", 1, "in deep", mixed_to_cm=15.24))
    assert change(before).inputs_only == 0


def test_what_is_still_decaying_pulls_the_expectation_down() -> None:
    before = slice_garden(spread("2020-10-01", "standard compost", 2, "in deep", mixed_to_cm=15.24))
    assert change(before, 4.0).expected.typical < change(slice_garden(), 4.0).expected.typical


@pytest.mark.parametrize("day", ["2021-03-01", "2022-03-01"])
def test_the_days_of_the_samples_count(day: str) -> None:
    assert change(slice_garden(spread(day, "standard compost", 1, "in deep"))).applications == 1


def test_left_on_top_a_core_holds_layer_and_soil() -> None:
    on_top = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=0))
    dug = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=15.24))
    assert change(on_top).inputs_only > change(dug).inputs_only


def test_dug_in_deeper_than_sampled_the_expected_rise_is_smaller_the_bound_is_not() -> None:
    deep = change(slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=30)))
    even = change(slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=15.24)))
    assert deep.expected.typical < even.expected.typical
    assert deep.zero_loss == pytest.approx(even.zero_loss)


def test_a_coarse_mulch_on_top_may_not_be_in_the_sample_at_all() -> None:
    mulch = change(slice_garden(spread("2021-04-01", "wood chips", 5, "cm deep", mixed_to_cm=0)))
    bare = change(slice_garden())
    assert mulch.expected.low <= bare.expected.low + 0.01
    assert mulch.zero_loss > 3


def test_what_only_thins_the_soil_does_not_lower_the_bound() -> None:
    limed = change(slice_garden(spread("2021-04-01", "sand", 20, "kg/m2", mixed_to_cm=15.24)))
    assert limed.inputs_only == 0
    assert limed.expected.typical < change(slice_garden()).expected.typical


def test_a_shallow_core_shows_more_of_the_same_load() -> None:
    made = balance(
        spread("2021-04-01", "standard compost", 5, "kg/m2", mixed_to_cm=5),
        beds=(Bed(bed="A", bulk_density_g_cm3=1.3),),
    )
    from soiltrend.balance import layer_of

    rises = [
        change(made, layer=layer_of(made.garden, made.bed("A"), depth_to_cm=depth)).expected.typical
        for depth in (5.0, 15.0)
    ]
    assert rises[0] > 2 * rises[1]


@pytest.mark.parametrize(
    ("method", "low", "high"),
    [("loss_on_ignition", 0.33, 0.385), ("dry_combustion", 0.55, 0.60), ("walkley_black", 0.0, 0.1)],
)
def test_char_counts_by_method(method: str, low: float, high: float) -> None:
    # 10 t/ha at 85 % loss on ignition in 2,000,000 lb: +0.38 points; as carbon × 1.724 more, by
    # Walkley-Black hardly (Conyers et al. 2011; Rayment and Lyons 2011, ch. 6).
    made = slice_garden(
        spread("2021-04-01", "house char", 10 / 0.99, "t/ha", mixed_to_cm=15.24), materials=(CHAR,)
    )
    assert low <= change(made, 3.0, method=method).char.typical <= high


def test_an_unknown_method_bounds_by_whichever_counts_most() -> None:
    made = slice_garden(spread("2021-04-01", "house char", 2, "kg/m2"), materials=(CHAR,))
    bounds = {m: change(made, method=m).zero_loss for m in ("loss_on_ignition", "dry_combustion", "")}
    assert bounds[""] == max(bounds.values())
    assert any("method not known" in text for text in change(made, method="").assumed)


def test_organic_carbon_follows_the_carbon() -> None:
    made = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=15.24))
    found = made.possible("A", "organic_carbon", START, YEAR, 1.2, method="dry_combustion")
    assert found is not None
    # 5 kg dry × 27 % C in 224 kg of soil.
    assert found.inputs_only == pytest.approx(100 * (224.17 * 0.012 + 1.35) / 229.17 - 1.2, abs=0.01)


def test_the_lines_hold_the_numbers_of_the_answer() -> None:
    made = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=15.24))
    lines = change(made).arithmetic
    assert lines[0].startswith("Soil in the layer, 0 to 15.24 cm at 1.47 g/cm³: 224 kg/m².")
    assert "At the start 2 % of 224 = 4.48 kg/m² of organic matter" in lines[0]
    assert (
        lines[1] == "2021-04-01, standard compost, 10 kg/m2: 5 kg/m² dry, in it 2.5 kg/m² of organic matter."
    )
    assert "(224 × 2 % + 2.5) / (224 + 5) = 3.05 %, that is +1 points" in lines[2]


def test_several_loads_of_one_material_share_a_line() -> None:
    made = slice_garden(*yearly(2021, 3, "compost", 1, "kg/m2"))
    assert change(made, end=THREE).arithmetic[1].startswith("compost, 3 times, 2021-04-01 to 2023-04-01:")


def test_what_was_not_recorded_is_said() -> None:
    found = change(balance(spread("2021-04-01", "compost", 1, "in deep")))
    assert any("bulk density not measured" in text for text in found.assumed)
    assert any("mixing depth not recorded" in text for text in found.assumed)


def test_nothing_put_on_has_no_ratio() -> None:
    assert change(slice_garden()).ratio(2.0) is None


def test_no_soil_is_more_than_all_organic_matter() -> None:
    made = slice_garden(spread("2021-04-01", "biochar", 12, "in deep", mixed_to_cm=0))
    found = change(made, 2.0, method="dry_combustion")
    assert found.zero_loss == pytest.approx(98)
    assert found.expected.high <= 98


def test_a_bed_that_gets_looser_is_told_by_depth_and_by_mass() -> None:
    made = slice_garden(spread("2021-04-01", "standard compost", 3, "in deep", mixed_to_cm=15.24))
    assert "The bed gets looser" in change(made).arithmetic[-1]
    assert not any("looser" in line for line in change(slice_garden()).arithmetic)


def test_stocks_stand_side_by_side() -> None:
    found = change(slice_garden(spread("2021-04-01", "standard compost", 2, "in deep", mixed_to_cm=15.24)))
    assert found.stock is not None
    assert found.stock.before < found.stock.fixed_depth < found.stock.equal_mass


MATERIALS = [
    "compost",
    "standard compost",
    "biochar",
    "dairy manure",
    "straw",
    "molasses",
    "topsoil",
    "wood ash",
]
UNITS = ["kg/m2", "in deep", "gal/10 ft2", "bucket", "lb"]


@settings(deadline=None, max_examples=200)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(MATERIALS),
            st.floats(0.05, 5),
            st.sampled_from(UNITS),
            st.sampled_from([None, 0.0, 5.0, 15.0, 30.0]),
            st.integers(0, 9),
        ),
        max_size=6,
    ),
    st.floats(0.3, 15),
    st.integers(1, 10),
    st.sampled_from(["", "loss_on_ignition", "dry_combustion", "walkley_black"]),
    st.sampled_from(
        ["organic_matter", "organic_carbon", "phosphorus", "potassium", "calcium", "total_n", "ph", "cec"]
    ),
)
def test_the_bound_is_never_below_the_expected_high(
    loads: list[tuple[str, float, str, float | None, int]],
    start: float,
    years: int,
    method: str,
    analyte: str,
) -> None:
    rows = [
        spread(f"{2015 + year}-05-01", name, amount, unit, mixed_to_cm=mixed)
        for name, amount, unit, mixed, year in loads
    ]
    found = balance(*rows).possible(
        "A", analyte, date(2015, 3, 1), date(2015 + years, 3, 1), start, method=method
    )
    assert found is not None
    assert found.zero_loss >= found.expected.high
    assert found.zero_loss >= 0
    assert found.expected.low <= found.expected.typical <= found.expected.high


@settings(deadline=None, max_examples=60)
@given(st.floats(0.1, 20), st.floats(1.01, 5))
def test_more_put_on_never_lowers_the_bound(amount: float, factor: float) -> None:
    less, more = (
        slice_garden(spread("2021-04-01", "compost", much, "kg/m2")) for much in (amount, amount * factor)
    )
    assert change(more).zero_loss >= change(less).zero_loss - 1e-9
