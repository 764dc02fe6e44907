import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance import needed_for
from soiltrend.records.models import Bed
from tests.balance.gardens import slice_garden, spread

US = {"units": "us"}


def test_a_rise_of_two_points_names_inches_buckets_and_wheelbarrows() -> None:
    made = slice_garden(beds=(Bed(bed="A", area_m2=9.290304),), **US)
    needed = needed_for(made, "A", "organic_matter", 2.0, start_value=2.0)
    assert needed is not None
    # 918 lb/1000 ft² must be there; 1.2 in of compost if nothing decayed, 2.4 in if half did
    # (short cut A/M; exact mixing asks a little more).
    assert needed.mass.low * 204.816 == pytest.approx(918, abs=1)
    assert needed.deep_cm.low / 2.54 == pytest.approx(1.2, abs=0.15)
    assert needed.deep_cm.high / 2.54 == pytest.approx(2.4, abs=0.35)
    assert needed.buckets is not None
    # 1 in over 1000 ft² is 125 five-gallon buckets.
    assert needed.buckets.low == pytest.approx(12.5 * needed.deep_cm.low / 2.54, rel=0.01)
    assert "918 to 1837 lb/1000 ft² of organic matter" in needed.text
    assert "five-gallon buckets" in needed.text


def test_without_an_area_it_stays_per_area() -> None:
    needed = needed_for(slice_garden(beds=(Bed(bed="A"),)), "A", "organic_matter", 1.0, start_value=3.0)
    assert needed is not None
    assert needed.buckets is None
    assert "bucket" not in needed.text
    assert "cm of ordinary compost" in needed.text


@settings(deadline=None, max_examples=60)
@given(st.floats(0.1, 4), st.floats(0.5, 6))
def test_putting_it_on_makes_the_rise(rise: float, start: float) -> None:
    from datetime import date

    made = slice_garden()
    needed = needed_for(made, "A", "organic_matter", rise, start_value=start)
    assert needed is not None
    put = slice_garden(
        spread("2021-04-01", "compost", needed.moist.low, "kg/m2", mixed_to_cm=15.24), materials=()
    )
    found = put.possible("A", "organic_matter", date(2021, 3, 1), date(2021, 5, 1), start)
    assert found is not None
    assert found.inputs_only > rise


@pytest.mark.parametrize(
    ("analyte", "change", "words"),
    [
        ("phosphorus", 50, "of P:"),
        ("potassium", 100, "of K:"),
        ("calcium", 500, "of Ca:"),
        ("organic_carbon", 1, "of carbon:"),
        ("ph", 1, "of ground limestone; a buffer pH"),
    ],
)
def test_other_tests_have_their_own_need(analyte: str, change: float, words: str) -> None:
    needed = needed_for(slice_garden(), "A", analyte, change, start_value=5.5)
    assert needed is not None
    assert words in needed.text
    assert 0 < needed.mass.low <= needed.mass.high


def test_a_rise_of_60_ppm_needs_at_least_275_lb_of_p2o5_an_acre() -> None:
    # Ceiling on a P rise in a furrow slice (derived): 60 ppm × 2 lb P / 0.4364.
    needed = needed_for(slice_garden(), "A", "phosphorus", 60)
    assert needed is not None
    per_acre = needed.mass.low * 4046.8564224 / 0.45359237
    assert per_acre / 0.43642 == pytest.approx(275, abs=1)


@pytest.mark.parametrize(("analyte", "change"), [("zinc", 5), ("organic_matter", 0), ("organic_matter", -1)])
def test_nothing_is_needed_where_nothing_can_be_said(analyte: str, change: float) -> None:
    assert needed_for(slice_garden(), "A", analyte, change) is None


def test_a_rise_no_compost_can_give_still_has_an_answer() -> None:
    needed = needed_for(slice_garden(), "A", "organic_matter", 48.0, start_value=2.0)
    assert needed is not None
    assert needed.deep_cm.low > 50


def test_a_buffer_ph_says_the_lime() -> None:
    # N.C. formula: pH 5.0 to 6.0 with Ac 1.2 (buffer pH 6.3) is 0.75 ton/ac, printed 0.76.
    needed = needed_for(slice_garden(), "A", "ph", 1.0, start_value=5.0, buffer_ph=6.3)
    assert needed is not None
    assert needed.mass.low == needed.mass.high
    assert needed.mass.typical * 4046.8564224 / 907.18474 == pytest.approx(0.75, abs=0.005)


@pytest.mark.parametrize("buffer_ph", [6.8, None])
def test_without_a_usable_buffer_ph_the_texture_says_it(buffer_ph: float | None) -> None:
    needed = needed_for(slice_garden(), "A", "ph", 1.0, start_value=5.0, buffer_ph=buffer_ph)
    assert needed is not None
    assert needed.mass.low < needed.mass.high
