from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.records import names
from soiltrend.records.models import Bed, Garden

GARDEN = Garden(
    folder=Path(),
    beds=(
        Bed(bed="North 1", treatment="compost", also_called=("N1", "Field A upper")),
        Bed(bed="North 11", treatment="control"),
        Bed(bed="Kitchen Bed", treatment=""),
        Bed(bed="Bed 3", treatment="Compost"),
        Bed(bed="Bed 3+", treatment="char"),
    ),
)


@pytest.mark.parametrize(
    ("printed", "bed"),
    [
        ("North 1", "North 1"),
        ("NORTH-1", "North 1"),
        ("north1", "North 1"),
        (" North  1. ", "North 1"),
        ("n 1", "North 1"),
        ("FIELD A (UPPER)", "North 1"),
        ("North 11", "North 11"),
        ("kitchenbed", "Kitchen Bed"),
        ("Kitchén bed", "Kitchen Bed"),
        ("bed 3", "Bed 3"),
        ("Bed 3 +", "Bed 3+"),
    ],
)
def test_case_spaces_punctuation_and_accents_do_not_matter(printed: str, bed: str) -> None:
    found = names.match_bed(printed, GARDEN).bed
    assert found is not None
    assert found.bed == bed


@pytest.mark.parametrize(
    ("printed", "suggestion"),
    [
        ("Nort 1", "North 1"),
        ("North 01", "North 1"),
        ("North 1 spring 2024", "North 1"),
        ("Kichen Bed", "Kitchen Bed"),
        ("Feild A upper", "North 1"),
        ("North 1-1", "North 1"),
    ],
)
def test_a_near_miss_is_suggested_and_not_merged(printed: str, suggestion: str) -> None:
    assert names.match_bed(printed, GARDEN) == names.BedMatch(None, suggestion)


@pytest.mark.parametrize("printed", ["North 7", "South 2", "", "---", "Greenhouse", "1"])
def test_another_name_or_number_suggests_nothing(printed: str) -> None:
    assert names.match_bed(printed, GARDEN) == names.BedMatch(None, None)


@pytest.mark.parametrize(
    ("name", "beds"),
    [
        ("all", ["North 1", "North 11", "Kitchen Bed", "Bed 3", "Bed 3+"]),
        ("compost", ["North 1", "Bed 3"]),
        ("Control", ["North 11", "Kitchen Bed"]),
        ("field a, upper", ["North 1"]),
        ("lime", []),
        ("", []),
    ],
)
def test_a_record_names_a_bed_a_treatment_or_all(name: str, beds: list[str]) -> None:
    assert [bed.bed for bed in names.beds_named(name, GARDEN.beds)] == beds


def test_two_numbers_side_by_side_stay_two_numbers() -> None:
    assert names.key("Bed 1-1") != names.key("Bed 11")


@given(st.text(alphabet="abcXYZ019 -._ü", max_size=12))
@settings(deadline=None, max_examples=200)
def test_a_key_does_not_change_with_case_or_outer_signs(text: str) -> None:
    assert names.key(f" ({text.upper()}). ") == names.key(text)


def test_advice_names_the_nearest_or_all_known() -> None:
    assert names.advice("composst", ["compost", "lime"]) == "Did you mean 'compost'?"
    assert names.advice("granite", ["compost", "lime"]) == "Known: 'compost', 'lime'."
    assert names.advice("granite", []) == ""


@pytest.mark.parametrize(
    ("text", "name"),
    [("Soil temperature", "soil_temperature"), (" Yield (kg) ", "yield_kg"), ("Wurzelmasse", "wurzelmasse")],
)
def test_a_measure_is_named_like_an_analyte(text: str, name: str) -> None:
    assert names.measure_name(text) == name
