import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance.amounts import parse_unit
from soiltrend.balance.contents import QUANTITIES
from soiltrend.balance.contents import total as sum_contents
from soiltrend.balance.mixes import Batch, Store
from soiltrend.balance.ranges import Range
from soiltrend.errors import RecordsError
from soiltrend.records.models import MixPart
from tests.balance.gardens import balance, garden, spread

CHARGED = (
    MixPart(line=2, mix="charged char", material="wood char", amount=20, unit="L"),
    MixPart(line=3, mix="charged char", material="aged manure", amount=10, unit="L"),
    MixPart(line=4, mix="charged char", material="molasses", amount=0.5, unit="L"),
)


def ends(values: Range) -> tuple[float, float, float]:
    return values.low, values.typical, values.high


def test_a_batch_is_the_sum_of_its_parts() -> None:
    batch = Store(garden(mixes=CHARGED)).find("Charged char")
    assert isinstance(batch, Batch)
    parts = sum_contents(part.contents for part in batch.portions)
    assert [part.substance.name for part in batch.portions] == [
        "wood char",
        "aged manure",
        "blackstrap molasses",
    ]
    for quantity in QUANTITIES:
        assert ends(batch.contents[quantity]) == pytest.approx(ends(parts[quantity]))


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(
                ["wood char", "compost", "dairy manure", "molasses", "ground limestone", "straw"]
            ),
            st.floats(0.1, 500),
            st.sampled_from(["kg", "L", "gal", "bucket", "lb", "wheelbarrow"]),
        ),
        min_size=1,
        max_size=6,
    ),
    st.floats(0.1, 20),
)
def test_batches_of_a_mix_hold_what_their_ingredients_hold(
    parts: list[tuple[str, float, str]], batches: float
) -> None:
    rows = tuple(MixPart(mix="m", material=name, amount=amount, unit=unit) for name, amount, unit in parts)
    store = Store(garden(mixes=rows))
    mixed = sum_contents(p.contents for p in store.portions("m", parse_unit("batch"), Range.exact(batches)))
    apart = sum_contents(
        p.contents
        for name, amount, unit in parts
        for p in store.portions(name, parse_unit(unit), parse_unit(unit).size * (amount * batches))
    )
    for quantity in QUANTITIES:
        assert ends(mixed[quantity]) == pytest.approx(ends(apart[quantity]), rel=1e-9, abs=1e-15)


def test_liquids_soak_in_and_do_not_swell_the_heap() -> None:
    batch = Store(garden(mixes=CHARGED)).find("charged char")
    assert isinstance(batch, Batch)
    assert batch.volume.typical == pytest.approx(0.030)
    assert batch.volume.high == pytest.approx(0.0305)


def test_a_mix_may_hold_a_mix() -> None:
    rows = (*CHARGED, MixPart(mix="bed mix", material="charged char", amount=15, unit="L"))
    rows += (MixPart(mix="bed mix", material="compost", amount=15, unit="L"),)
    store = Store(garden(mixes=rows))
    batch, charged = store.find("bed mix"), store.find("charged char")
    assert isinstance(batch, Batch)
    assert isinstance(charged, Batch)
    half = charged.contents.char_carbon.typical / 2
    assert batch.contents.char_carbon.typical == pytest.approx(half)


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            [("a", "b", 1, "L"), ("b", "a", 1, "L")],
            r"mixes.csv line 3, material: expected a mix that does not contain itself, found a > b > a",
        ),
        ([("compost", "compost", 1, "L")], r"line 2, material: .* found compost > compost"),
        ([("a", "compots", 1, "L")], r"line 2, material: .*'compots'\. Nearest known: compost"),
        ([("a", "compost", 1, "bukets")], r"line 2, unit: .*'bukets'\. Nearest known: bucket"),
        ([("a", "compost", 1, "in deep")], r"line 2, unit: expected a mass or volume for one batch"),
        ([("a", "compost", 1, "kg/m2")], r"line 2, unit: expected a mass or volume for one batch"),
    ],
)
def test_a_mix_that_cannot_be_made_is_named_by_file_and_row(
    rows: list[tuple[str, str, float, str]], message: str
) -> None:
    parts = tuple(
        MixPart(line=i, mix=mix, material=material, amount=amount, unit=unit)
        for i, (mix, material, amount, unit) in enumerate(rows, start=2)
    )
    with pytest.raises(RecordsError, match=message):
        Store(garden(mixes=parts))


def test_parts_by_volume_make_a_mix() -> None:
    rows = (
        MixPart(mix="m", material="wood char", amount=1, unit="part"),
        MixPart(mix="m", material="compost", amount=3, unit="parts"),
    )
    one = balance(spread("2024-04-01", "m", 4, "L/m2"), mixes=rows).applied[0]
    assert one.portions[0].volume.typical == pytest.approx(0.001)
    assert one.portions[1].volume.typical == pytest.approx(0.003)


def test_an_own_material_may_go_into_a_mix() -> None:
    rows = (MixPart(mix="m", material="Standard compost", amount=10, unit="kg"),)
    one = balance(spread("2024-04-01", "m", 2, "kg/m2"), mixes=rows).applied[0]
    assert one.contents.organic_matter.typical == pytest.approx(0.5)
