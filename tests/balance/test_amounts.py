import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance.amounts import UnknownUnit, parse_rate, parse_unit
from soiltrend.data import load_toml

GALLON = 0.003785411784
FOOT2 = 0.09290304
POUND = 0.45359237


@pytest.mark.parametrize(
    ("written", "kind", "size", "per_area"),
    [
        ("kg", "mass", 1, None),
        ("lbs.", "mass", POUND, None),
        ("oz", "mass", POUND / 16, None),
        ("t", "mass", 1000, None),
        ("short tons", "mass", 2000 * POUND, None),
        ("tons per acre", "mass", 2000 * POUND, 4046.8564224),
        ("t/ha", "mass", 1000, 10_000),
        ("kg/m²", "mass", 1, 1),
        ("lb per 1,000 sq. ft.", "mass", POUND, 1000 * FOOT2),
        ("lb/1000 ft2", "mass", POUND, 1000 * FOOT2),
        ("g/m^2", "mass", 0.001, 1),
        ("L", "volume", 0.001, None),
        ("litres/m2", "volume", 0.001, 1),
        ("gal/10 ft2", "volume", GALLON, 10 * FOOT2),
        ("gallons per 10 square feet", "volume", GALLON, 10 * FOOT2),
        ("bucket", "volume", 5 * GALLON, None),
        ("5-gallon buckets", "volume", 5 * GALLON, None),
        ("2 gal bucket", "volume", 2 * GALLON, None),
        ("10 L bucket", "volume", 0.01, None),
        ("yd3", "volume", 0.764554857984, None),
        ("cubic yards", "volume", 0.764554857984, None),
        ("cu. yd.", "volume", 0.764554857984, None),
        ("yards of", "volume", 0.764554857984, None),
        ("ft³", "volume", 0.028316846592, None),
        ("m3/ha", "volume", 1, 10_000),
        ("tbsp", "volume", GALLON / 256, None),
        ("in deep", "depth", 0.0254, None),
        ("in. deep", "depth", 0.0254, None),
        ("inches", "depth", 0.0254, None),
        ("cm deep", "depth", 0.01, None),
        ("batch", "batch", 1, None),
        ("kg per bed", "mass", 1, None),
        ("buckets each", "volume", 5 * GALLON, None),
    ],
)
def test_units_are_read_as_growers_write_them(
    written: str, kind: str, size: float, per_area: float | None
) -> None:
    unit = parse_unit(written)
    assert unit.kind == kind
    assert unit.size.typical == pytest.approx(size, rel=1e-9)
    assert unit.per_area == (None if per_area is None else pytest.approx(per_area, rel=1e-9))


def test_a_wheelbarrow_is_six_cubic_feet_give_or_take() -> None:
    size = parse_unit("wheelbarrow").size
    assert size.typical == pytest.approx(6 * 0.028316846592, rel=1e-6)
    assert size.low < size.typical < size.high


@pytest.mark.parametrize(
    ("written", "packing"),
    [("bucket, loose", "loose"), ("gal/10 ft2 (settled)", "settled"), ("yd3 packed", "settled"), ("L", "")],
)
def test_loose_and_settled_are_told_apart(written: str, packing: str) -> None:
    assert parse_unit(written).packing == packing


@pytest.mark.parametrize(
    ("written", "advice"),
    [
        ("bukets", "bucket"),
        ("bushel", "kg"),
        ("kg/plant", "area"),
        ("in/m2", "depth"),
        ("ton", "short ton"),
        ("", "kg"),
        ("kg/0 m2", "area"),
        ("part", "mixes.csv"),
    ],
)
def test_an_unknown_unit_is_named_with_what_to_write(written: str, advice: str) -> None:
    with pytest.raises(UnknownUnit) as caught:
        parse_unit(written)
    assert advice in str(caught.value)
    assert repr(written) in str(caught.value)


def test_a_ton_alone_is_short_in_a_us_garden_and_by_the_acre() -> None:
    assert parse_unit("ton", "us").size.typical == pytest.approx(907.18474)
    assert parse_unit("ton/acre", "metric").size.typical == pytest.approx(907.18474)


@pytest.mark.parametrize(
    ("text", "number", "name"),
    [
        ("1 gal/10 ft2", 1, "gal"),
        ("1/2 in deep", 0.5, "in deep"),
        ("1 1/2 in deep", 1.5, "in deep"),
        ("2,5 kg/m2", 2.5, "kg"),
        ("1,000 lb", 1000, "lb"),
        (".5 yd3", 0.5, "yd3"),
    ],
)
def test_rates_are_a_number_and_a_unit(text: str, number: float, name: str) -> None:
    amount, unit = parse_rate(text)
    assert (amount, unit.name) == (pytest.approx(number), name)


@pytest.mark.parametrize("text", ["in deep", "0 kg", "", "-3 kg", "1/0 kg"])
def test_a_rate_without_a_number_above_zero_is_refused(text: str) -> None:
    with pytest.raises(UnknownUnit):
        parse_rate(text)


UNITS = [row["name"] for row in load_toml("amounts")["unit"] if not row.get("mix_only")]


@settings(deadline=None, max_examples=200)
@given(st.sampled_from(UNITS), st.floats(0.01, 1e4), st.floats(0.1, 1e4))
def test_units_round_trip(name: str, amount: float, area: float) -> None:
    unit = parse_unit(name)
    back = unit.per_m2(amount, area, planned=True) * (area if unit.needs_area else 1.0) / unit.size.typical
    assert back.typical == pytest.approx(amount)


@settings(deadline=None, max_examples=100)
@given(st.sampled_from(UNITS), st.floats(0.01, 1e4), st.floats(0.1, 1e3))
def test_twice_the_amount_is_twice_as_much_and_twice_the_area_half(
    name: str, amount: float, area: float
) -> None:
    unit = parse_unit(name)
    once, twice = unit.per_m2(amount, area), unit.per_m2(2 * amount, area)
    assert (twice.low, twice.high) == pytest.approx((2 * once.low, 2 * once.high))
    if unit.needs_area:
        assert unit.per_m2(amount, 2 * area).typical == pytest.approx(once.typical / 2)


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=30))
def test_any_text_is_a_unit_or_an_error_that_says_so(text: str) -> None:
    try:
        unit = parse_unit(text)
    except UnknownUnit:
        return
    assert unit.size.typical > 0


def test_what_was_done_is_less_sure_than_what_is_planned() -> None:
    unit = parse_unit("in deep")
    assert unit.per_m2(2, None).high > unit.per_m2(2, None, planned=True).high
    assert parse_unit("kg").measured(3).high == 3
