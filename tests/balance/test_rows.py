from datetime import date
from typing import Any

import pytest

from soiltrend.balance import COLUMNS, to_records
from soiltrend.trends import Point, Trend
from tests.balance.gardens import balance, slice_garden, spread


def trend(**given: Any) -> Trend:
    """Return a made-up fitted series of organic matter from 2 to 4 %."""
    points = tuple(
        Point(
            row=i,
            sampled_on=date(2021 + i, 3, 1),
            value=value,
            qualifier="",
            segment=0,
            fitted=value,
            low=value - 0.2,
            high=value + 0.2,
            noise_low=value - 0.3,
            noise_high=value + 0.3,
            source="r.csv",
            place="row 2",
        )
        for i, value in enumerate((2.0, 3.0, 4.0))
    )
    cells: dict[str, Any] = dict.fromkeys(Trend.__dataclass_fields__)
    cells.update(
        bed="A",
        analyte="organic_matter",
        unit="%",
        method="loss_on_ignition",
        segments=1,
        n=3,
        first_on=date(2021, 3, 1),
        last_on=date(2023, 3, 1),
        first_value=2.0,
        last_value=4.0,
        total_change=2.0,
        total_low=1.5,
        total_high=2.5,
        points=points,
        level=3.0,
        s0=0.05,
        scale="log",
    )
    return Trend(**{**cells, **given})


def test_what_was_put_on_has_a_row_per_year_and_in_total_in_both_units() -> None:
    rows = to_records(
        balance(
            spread("2021-04-01", "standard compost", 2, "kg/m2"),
            spread("2022-04-01", "standard compost", 4, "kg/m2"),
        )
    )
    matter = [row for row in rows if row["quantity"] == "organic_matter"]
    assert [(row["year"], row["unit"], round(row["typical"], 2)) for row in matter] == [
        ("2021", "kg/m2", 0.5),
        ("2021", "lb/1000 ft2", 102.41),
        ("2022", "kg/m2", 1.0),
        ("2022", "lb/1000 ft2", 204.82),
        ("total", "kg/m2", 1.5),
        ("total", "lb/1000 ft2", 307.22),
    ]
    assert all(tuple(row) == COLUMNS for row in rows)


@pytest.mark.parametrize(
    "quantity", ["dry_mass", "carbon", "char_carbon", "n", "p", "k", "ca", "mg", "s", "lime_equivalent"]
)
def test_every_quantity_has_its_row(quantity: str) -> None:
    rows = to_records(balance(spread("2021-04-01", "compost", 2, "kg/m2")))
    assert quantity in {row["quantity"] for row in rows}


def test_a_change_stands_beside_what_was_possible() -> None:
    made = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2", mixed_to_cm=15.24))
    row = to_records(made, [trend()])[-1]
    assert (row["what"], row["quantity"], row["year"]) == ("change", "organic_matter", "2021-2023")
    assert (row["observed"], row["observed_low"], row["observed_high"]) == (2.0, 1.5, 2.5)
    assert row["low"] <= row["typical"] <= row["high"] <= row["largest"]
    assert row["largest"] < 1.5


@pytest.mark.parametrize(
    "given",
    [
        {"analyte": "zinc"},
        {"total_change": None},
        {"last_on": date(2021, 3, 1)},
        {"first_on": None, "last_on": None},
        {"unit": "mg/dm3"},
    ],
)
def test_a_series_of_which_nothing_can_be_said_has_no_row(given: dict[str, Any]) -> None:
    made = slice_garden(spread("2021-04-01", "standard compost", 10, "kg/m2"))
    assert [row for row in to_records(made, [trend(**given)]) if row["what"] == "change"] == []


def test_a_garden_without_records_of_what_was_put_on_has_no_rows() -> None:
    assert to_records(slice_garden(), [trend()]) == []
