from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance import QUANTITIES, build
from soiltrend.errors import RecordsError
from soiltrend.records.models import Bed
from tests.balance.gardens import TODAY, balance, garden, spread

BEDS = (
    Bed(bed="North", area_m2=10, treatment="char", also_called=("N1",)),
    Bed(bed="South", area_m2=20, treatment="char"),
    Bed(bed="Plain", treatment="control"),
)


@pytest.mark.parametrize(
    ("bed", "reached"),
    [
        ("North", ["North"]),
        ("north", ["North"]),
        ("N1", ["North"]),
        ("char", ["North", "South"]),
        ("all", ["North", "South", "Plain"]),
        ("control", ["Plain"]),
    ],
)
def test_an_application_reaches_a_bed_a_treatment_or_all(bed: str, reached: list[str]) -> None:
    applied = balance(spread("2024-04-01", "compost", 1, "kg/m2", bed=bed), beds=BEDS).applied
    assert [one.bed for one in applied] == reached


def test_an_absolute_amount_is_for_each_bed() -> None:
    applied = balance(spread("2024-04-01", "standard compost", 40, "kg", bed="char"), beds=BEDS).applied
    assert [one.contents.dry_mass.typical for one in applied] == pytest.approx([2.0, 1.0])


def test_a_depth_needs_no_area() -> None:
    one = balance(spread("2024-04-01", "standard compost", 1, "in deep", bed="Plain"), beds=BEDS).applied[0]
    # 1 in: 67 wet and 34 dry short tons an acre, 7.53 kg/m² dry: derived from 1000 lb a cubic yard, half
    # water, extension's planning figure (second-hand).
    assert one.contents.dry_mass.typical * 10_000 / 907.18474 * 0.40468564 == pytest.approx(33.6, abs=0.1)


def one_error(*rows: object, today: date = TODAY) -> str:
    with pytest.raises(RecordsError) as caught:
        build(garden(*rows, beds=BEDS), today)  # type: ignore[arg-type]
    return str(caught.value)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        (
            {"bed": "Plain", "unit": "bucket"},
            "bed: expected a bed with an area for an amount in 'bucket', found no area for Plain. "
            "Give its area_m2 or area_ft2 in beds.csv, or the amount per area",
        ),
        ({"day": "2031-04-01"}, "date: expected a day from 1900 up to today, 2030-01-01, found 2031-04-01."),
        ({"day": "0204-04-01"}, "date: expected a day from 1900 up to today, 2030-01-01, found 0204-04-01."),
        (
            {"bed": "Nroth"},
            "bed: expected a bed of beds.csv, a treatment or 'all', found 'Nroth'. Nearest known: North",
        ),
        (
            {"material": "wood cips"},
            "material: expected a known material, one of materials.csv or a mix of mixes.csv, "
            "found 'wood cips'. Nearest known: wood chips,",
        ),
        ({"material": "xyzzy"}, "found 'xyzzy'. Please describe it in materials.csv."),
        (
            {"unit": "wheelbarow"},
            "unit: expected a unit of mass, volume or depth, found 'wheelbarow'. Nearest known: wheelbarrow",
        ),
        ({"unit": "batch"}, "found 'batch'. 'compost' is no mix of mixes.csv."),
    ],
)
def test_a_row_that_cannot_be_used_is_named_with_what_to_do(changed: dict[str, str], message: str) -> None:
    row = {"day": "2024-04-01", "material": "compost", "unit": "kg/m2", "bed": "North"} | changed
    found = one_error(spread(row["day"], row["material"], 3, row["unit"], bed=row["bed"]))
    assert found.startswith("amendments.csv line 2, ")
    assert message in found


def test_all_rows_at_fault_are_named_at_once() -> None:
    text = one_error(
        spread("2031-04-01", "compost", 3, "kg/m2", bed="all"),
        spread("2024-04-01", "compost", 3, "kg/m2", bed="all"),
        spread("2024-04-01", "compost", 3, "kgs/m", bed="all"),
    )
    assert [line.split(",")[0] for line in text.splitlines()] == [
        "amendments.csv line 2",
        "amendments.csv line 4",
    ]


def test_an_application_before_the_first_report_is_kept_but_acts_before_it() -> None:
    kept = balance(spread("2019-04-01", "standard compost", 10, "kg/m2"))
    assert kept.total("A").dry_mass.typical == pytest.approx(5)
    assert kept.of("A", date(2020, 1, 1), date(2024, 1, 1)) == ()


def test_years_add_up_to_the_total() -> None:
    made = balance(
        spread("2021-04-01", "compost", 3, "kg/m2"),
        spread("2021-10-01", "straw", 1, "kg/m2"),
        spread("2023-04-01", "compost", 2, "kg/m2"),
    )
    years = made.yearly("A")
    assert list(years) == [2021, 2023]
    for quantity in QUANTITIES:
        assert sum(held[quantity].typical for held in years.values()) == pytest.approx(
            made.total("A")[quantity].typical
        )


def test_a_garden_without_amendments_has_an_empty_balance() -> None:
    made = balance()
    assert (made.recorded, made.applied, made.yearly("A")) == (False, (), {})
    assert made.total("A").dry_mass.is_zero


UNITS = ("kg", "gal", "bucket", "kg/m2", "gal/10 ft2", "in deep", "t/ha", "yd3")


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(["compost", "biochar", "dairy manure", "wood ash", "standard compost"]),
    st.sampled_from(UNITS),
    st.floats(0.01, 1000),
    st.floats(0.5, 500),
    st.floats(0.1, 10),
)
def test_the_balance_is_linear_in_amount_and_area(
    material: str, unit: str, amount: float, area: float, factor: float
) -> None:
    def held(much: float, square: float) -> object:
        beds = (Bed(bed="A", area_m2=square),)
        return balance(spread("2024-04-01", material, much, unit), beds=beds).total("A")

    once, more = held(amount, area), held(amount * factor, area)
    wider = held(amount, area * factor)
    per_bed = unit in ("kg", "gal", "bucket", "yd3")
    for quantity in QUANTITIES:
        for end in ("low", "typical", "high"):
            value = getattr(once[quantity], end)  # type: ignore[index]
            assert getattr(more[quantity], end) == pytest.approx(value * factor)  # type: ignore[index]
            spread_out = value / factor if per_bed else value
            assert getattr(wider[quantity], end) == pytest.approx(spread_out)  # type: ignore[index]
