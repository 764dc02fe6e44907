"""A sentence in a grower's own words is understood as what it says, and nothing is worked out from it."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soiltrend.claims import understand
from soiltrend.errors import SoiltrendError
from soiltrend.records.models import Amendment, Bed, Garden, Measurement

GARDEN = Garden(
    folder=Path(),
    beds=(
        Bed(bed="East 1", treatment="compost", also_called=("E1",)),
        Bed(bed="East 2"),
        Bed(bed="Bed 7", treatment="charged char"),
    ),
    amendments=(Amendment(date=date(2024, 4, 1), bed="East 1", material="leaf mould", amount=1, unit="kg"),),
    measurements=(Measurement(date=date(2024, 7, 1), bed="East 1", measure="worm count", value=3, unit="1"),),
)

UP, DOWN = {"direction": "up"}, {"direction": "down"}
OM = {"measure": "organic_matter"}

SENTENCES: list[tuple[str, dict[str, Any]]] = [
    ("Organic matter doubled in three years", OM | UP | {"times": 2.0, "span_years": 3.0}),
    ("OM has more than tripled", OM | UP | {"times": 3.0}),
    ("our organic matter went from 2.1 to 4.3 %", OM | UP | {"from": 2.1, "to": 4.3, "unit": "%"}),
    ("OM 3.1% -> 4.2%", OM | UP | {"from": 3.1, "to": 4.2, "unit": "%"}),
    ("OM is up to 5 % from 2.5 %", OM | UP | {"from": 2.5, "to": 5.0, "unit": "%"}),
    ("organic matter is close to 6 %", OM | {"to": 6.0, "unit": "%"}),
    ("organic mater rose by a quarter", OM | UP | {"percent": 25.0}),
    ("OM rose by half a point", OM | UP | {"change": 0.5, "unit": "points"}),
    ("OM grew 0.3 points a year", OM | UP | {"change": 0.3, "unit": "points", "per_year": True}),
    ("OM gained 1.5 points over 4 seasons", OM | UP | {"change": 1.5, "span_years": 4.0}),
    ("organic matter did not double", OM | UP | {"times": 2.0, "negated": True}),
    ("organic matter didn't change", OM | {"direction": "none", "negated": False}),
    ("pH stayed the same", {"measure": "ph", "direction": "none"}),
    ("the soil is more acidic than in 2019", {"measure": "ph"} | DOWN),
    ("pH rose half a unit in 18 months", {"measure": "ph", "change": 0.5, "span_years": 1.5} | UP),
    ("Phosphorus dropped 20 ppm", {"measure": "phosphorus", "change": 20.0, "unit": "ppm"} | DOWN),
    ("P is up 25 ppm", {"measure": "phosphorus", "change": 25.0, "unit": "ppm"} | UP),
    ("potash fell from 300 to 220 ppm", {"measure": "potassium", "from": 300.0, "to": 220.0} | DOWN),
    ("We use 30% less water", {"measure": "water", "percent": 30.0} | DOWN),
    ("we cut watering in half", {"measure": "water", "times": 0.5} | DOWN),
    ("the soil is 5 degrees warmer", {"measure": "soil_temperature", "change": 5.0} | UP),
    ("did potassium go up?", {"measure": "potassium"} | UP),
    ("soil health improved", {"measure": "soil_health"} | UP),
    ("OM in East 1 went up", OM | UP | {"beds": ["East 1"]}),
    ("OM in E1 and East 2 went up", OM | UP | {"beds": ["East 1", "East 2"]}),
    ("worm count tripled", {"measure": "worm_count", "times": 3.0} | UP),
    ("Carbon built up to 3 % between 2020 and 2024", {"measure": "organic_carbon", "to": 3.0} | UP),
    ("ca dropped", {"measure": None}),
    ("Ca dropped", {"measure": "calcium"} | DOWN),
]


@pytest.mark.parametrize(("text", "expected"), SENTENCES, ids=[text for text, _ in SENTENCES])
def test_a_sentence_says_what_it_says(text: str, expected: dict[str, Any]) -> None:
    (statement,) = understand(text, GARDEN)
    understood = statement.understood()
    assert {key: understood[key] for key in expected} == expected


@pytest.mark.parametrize(
    ("text", "measures", "directions"),
    [
        ("pH went up and phosphorus went down", ["ph", "phosphorus"], ["up", "down"]),
        (
            "CEC and potassium went up, but pH stayed the same",
            ["cec", "potassium", "ph"],
            ["up", "up", "none"],
        ),
        ("OM doubled. Yields rose by 20 %.", ["organic_matter", "yield"], ["up", "up"]),
    ],
)
def test_a_sentence_can_hold_several_statements(
    text: str, measures: list[str], directions: list[str]
) -> None:
    statements = understand(text, GARDEN)
    assert [s.measure for s in statements] == measures
    assert [s.direction for s in statements] == directions


def test_a_span_said_once_holds_for_both_statements() -> None:
    first, second = understand("In three years OM doubled and pH rose by half a point", GARDEN)
    assert (first.span_years, second.span_years) == (3.0, 3.0)
    assert (first.times, second.change) == (2.0, 0.5)


def test_what_the_sentence_does_not_say_is_null() -> None:
    understood = understand("Organic matter rose", GARDEN)[0].understood()
    said = {"measure", "direction"}
    assert {key: value for key, value in understood.items() if key not in said} == {
        "negated": False, "from": None, "to": None, "change": None, "unit": None, "percent": None,
        "times": None, "per_year": False, "span_years": None, "beds": None,
    }  # fmt: skip


def test_a_bed_that_this_garden_does_not_have_is_named() -> None:
    assert understand("OM rose in bed 12", GARDEN)[0].unknown_beds == ("bed 12",)


def test_the_material_that_is_credited_is_the_cause() -> None:
    assert understand("Leaf mould doubled our organic matter", GARDEN)[0].cause == "leaf mould"


def test_a_treatment_that_names_beds_is_no_cause() -> None:
    statement = understand("The charged char beds gained 1 point of organic matter", GARDEN)[0]
    assert (statement.treatments, statement.cause) == (("charged char",), "")


def test_more_than_the_controls_is_a_comparison() -> None:
    statement = understand("The amended beds gained more organic matter than the control beds", GARDEN)[0]
    assert statement.against_controls
    assert statement.treatments == ("amended",)


def test_a_typing_error_is_read_and_said() -> None:
    statement = understand("Phosphorus nearly dubled", GARDEN)[0]
    assert statement.times == 2.0
    assert statement.read_as == ("dubled≈doubled",)


def test_words_that_were_not_understood_are_said() -> None:
    assert understand("Organic matter frobnicated", GARDEN)[0].not_understood == ("frobnicated",)


@pytest.mark.parametrize("text", ["", "   ", "\n"])
def test_an_empty_claim_is_refused(text: str) -> None:
    with pytest.raises(SoiltrendError, match="The claim is empty"):
        understand(text)


def test_a_claim_of_5000_characters_is_refused_with_its_length() -> None:
    with pytest.raises(SoiltrendError, match="5000 characters"):
        understand("x" * 5000)


@given(st.text(max_size=200))
def test_any_text_is_understood_or_refused_and_never_fails(text: str) -> None:
    try:
        statements = understand(text, GARDEN)
    except SoiltrendError:
        return
    assert statements


@given(
    st.floats(0.1, 90).map(lambda x: round(x, 1)),
    st.floats(0.1, 90).map(lambda x: round(x, 1)),
    st.sampled_from(["organic matter", "Calcium", "the CEC", "zinc"]),
)
def test_from_to_is_read_with_any_numbers(first: float, last: float, name: str) -> None:
    (statement,) = understand(f"{name} went from {first} to {last}")
    assert (statement.level_from, statement.level_to) == (first, last)


@given(st.integers(1, 30), st.sampled_from(["years", "seasons", "growing seasons"]))
def test_a_span_in_figures_is_read(number: int, word: str) -> None:
    assert understand(f"OM rose in {number} {word}")[0].span_years == number
    assert understand(f"OM rose in {number * 12} months")[0].span_years == pytest.approx(number, rel=1e-4)


SUMS = [
    ("OM rose from three to five and a half percent", 3.0, 5.5),
    ("OM rose from 3 to 4 and a quarter percent", 3.0, 4.25),
    ("phosphorus went from twenty two to fifty-five ppm", 22.0, 55.0),
    ("calcium went from 1980 to 2010 ppm", 1980.0, 2010.0),
]


@pytest.mark.parametrize(("text", "first", "last"), SUMS)
def test_numbers_in_words_are_added_up_and_amounts_are_no_years(text, first, last):
    (statement,) = understand(text)
    assert (statement.level_from, statement.level_to) == (first, last)
    assert statement.since is None


def test_two_thousand_percent_is_not_the_year_2000():
    (statement,) = understand("zinc rose 2000 %")
    assert (statement.percent, statement.since) == (2000.0, None)


def test_a_misspelt_bed_is_unknown_and_never_the_whole_garden() -> None:
    garden = Garden(folder=Path(), beds=(Bed(bed="Rowan"), Bed(bed="Willow")))
    assert understand("Organic matter in Roawn doubled", garden)[0].unknown_beds == ("Roawn",)
    assert understand("Organic matter doubled", garden)[0].unknown_beds == ()
