"""A result printed in several units, forms or places counts once, and each print is a check on the other."""

from decimal import Decimal

import pytest

from soiltrend.layout.reading import Reading
from soiltrend.layout.twice import DOUBTFUL, FAILED, Kept, keep_one
from soiltrend.values import parse_result


def printed(text: str, unit: str = "mg/kg", place: str = "row 2", **more: str) -> Reading:
    """Return phosphorus of Bed 1 as a report prints it, unless ``more`` says otherwise."""
    given = {"sample": "Bed 1", "analyte": "phosphorus", "unit_printed": unit, "unit": unit} | more
    return Reading(result=parse_result(text, "."), value_printed=text, place=place, **given)  # type: ignore[arg-type]


def numbers(kept: Kept) -> list[tuple[str, str, str]]:
    """Return (printed, unit, form) of what counts."""
    return [(r.value_printed, r.unit, r.form) for r in kept.readings]


# P2O5 is 2.2914 P and K2O is 1.2046 K by atomic weights (IUPAC); 1 meq/100 g of Ca is 200.39 mg/kg, of K
# 390.98; lb/acre is 2 × ppm on a furrow slice of two million pounds (Univ. of Minnesota Extension).
PAIRS = [
    ("phosphorus", ("40", "mg/kg", ""), ("92", "mg/kg", "P2O5")),
    ("phosphorus", ("40", "mg/kg", ""), ("80", "lb/acre", "")),
    ("potassium", ("200", "mg/kg", ""), ("241", "mg/kg", "K2O")),
    ("potassium", ("195", "mg/kg", ""), ("0.50", "meq/(100.g)", "")),
    ("calcium", ("2004", "mg/kg", ""), ("10.0", "meq/(100.g)", "")),
]


@pytest.mark.parametrize(("analyte", "kept", "other"), PAIRS)
@pytest.mark.parametrize("turned", [False, True])
def test_the_element_in_ppm_is_kept_wherever_it_stands(
    analyte: str, kept: tuple[str, str, str], other: tuple[str, str, str], turned: bool
) -> None:
    both = [
        printed(text, unit, f"row {row}", analyte=analyte, form=form)
        for row, (text, unit, form) in enumerate([other, kept] if turned else [kept, other], start=2)
    ]
    found = keep_one(both)
    assert numbers(found) == [kept]
    assert FAILED not in found.readings[0].notes
    assert f"It agrees with {other[0]} {other[1]}." in found.readings[0].reason
    assert [(left.text, left.near) for left in found.left] == [(other[0], analyte)]


@pytest.mark.parametrize(("analyte", "kept", "other"), PAIRS)
def test_another_number_in_the_other_unit_fails_the_check(
    analyte: str, kept: tuple[str, str, str], other: tuple[str, str, str]
) -> None:
    text, unit, form = other
    wrong = str(Decimal(text) * 2)
    found = keep_one(
        [
            printed(kept[0], kept[1], analyte=analyte),
            printed(wrong, unit, "row 3", analyte=analyte, form=form),
        ]
    )
    assert numbers(found) == [kept]
    assert FAILED in found.readings[0].notes
    assert f"It does not agree with {wrong}" in found.readings[0].reason


def test_rounding_to_the_last_digit_is_no_contradiction() -> None:
    found = keep_one([printed("12", analyte="potassium"), printed("0.0", "meq/(100.g)", analyte="potassium")])
    assert FAILED not in found.readings[0].notes  # 12 mg/kg is 0.031 meq/100 g, printed as 0.0


def test_the_same_result_printed_again_counts_once() -> None:
    found = keep_one([printed("40"), printed("40", place="row 9")])
    assert numbers(found) == [("40", "mg/kg", "")]
    assert not found.readings[0].notes
    assert "row 2, printed again" in found.left[0].reason


def test_two_unequal_results_in_one_unit_are_both_doubted() -> None:
    found = keep_one([printed("40"), printed("55", place="row 9")])
    assert sorted(text for text, *_ in numbers(found)) == ["40", "55"]
    assert all(DOUBTFUL in one.notes for one in found.readings)
    assert not found.left


@pytest.mark.parametrize(
    "other",
    [
        {"sample": "Bed 2"},
        {"analyte": "potassium"},
        {"method": "olsen"},
        {"report": "4712"},
    ],
)
def test_results_of_other_samples_analytes_methods_and_reports_both_count(other: dict[str, str]) -> None:
    found = keep_one(
        [printed("40", method="mehlich_3", report="4711"), printed("20", place="row 3", **other)]
    )
    assert len(found.readings) == 2
    assert not found.left
    assert not any(one.notes for one in found.readings)


def test_a_result_without_a_method_is_that_of_the_only_method() -> None:
    found = keep_one([printed("40", method="olsen"), printed("92", place="row 3", form="P2O5")])
    assert numbers(found) == [("40", "mg/kg", "")]


def test_what_counts_stays_in_the_order_of_the_report() -> None:
    given = [printed("6.4", "", f"row {row}", analyte="ph", sample=f"Bed {row}") for row in (2, 4, 3)]
    assert [one.place for one in keep_one(given).readings] == ["row 2", "row 4", "row 3"]
