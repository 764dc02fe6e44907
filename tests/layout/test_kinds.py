"""What a file says it is: by its headings, never by what a laboratory's name or a sentence mentions."""

import pytest

from soiltrend.layout.kinds import looks_like, says_soil

SOIL = "soil test"


@pytest.mark.parametrize(
    "name",
    [
        "Dalewood Soil & Water Testing",
        "Dalewood Soil and Water Testing Laboratory",
        "Soil/Water testing, Dalewood",
        "Soil & Plant Analysis Laboratory",
        "Soils, water testing",
        "Analyse de sol et eau",
        "Laboratorio de suelos y aguas",
    ],
)
def test_what_else_a_laboratory_tests_is_not_what_it_tested(name: str) -> None:
    assert looks_like([name, "Sample  pH  K ppm", "Bed 1  6.4  190"]) == SOIL


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        (["Irrigation water analysis", "Alkalinity 120"], "water analysis"),
        (["Dalewood Soil & Water Testing", "Irrigation water", "Alkalinity 120"], "water analysis"),
        (["Dalewood Soil and Plant Laboratory", "Leaf analysis"], "plant tissue analysis"),
        (["Manure report", "Nitrogen 12 lbs/ton"], "manure analysis"),
        (["Compost analysis", "Feedstock: leaves"], "compost analysis"),
        (["Invoice", "Soil test  2  12.00", "Subtotal  24.00"], "invoice"),
        (["Price list", "Prices valid to May", "Soil test 12.00"], "price list"),
    ],
)
def test_a_paper_that_says_at_its_head_what_else_it_is(lines: list[str], kind: str) -> None:
    assert looks_like(lines) == kind


@pytest.mark.parametrize(
    "lines",
    [
        ["Soil test report", "We recommend a compost analysis of the heap before you spread it on beds"],
        ["Soil & Water", "Sample 3 May", "pH 6.4"],  # no water sample: the name ends with its line
        ["Soil test report", *["pH 6.4"] * 30, "Water analysis costs extra"],
        ["Bed 1  6.4  190"],
        [],
    ],
)
def test_what_is_only_mentioned_or_not_said_leaves_a_soil_test(lines: list[str]) -> None:
    assert looks_like(lines) == SOIL


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (["Bodenuntersuchung 2023"], True),
        (["Analyse de terre"], True),
        (["Mehlich-3 P 40"], True),
        (["Irrigation water"], False),
        ([], False),
    ],
)
def test_any_line_may_use_the_words_of_a_soil_test(lines: list[str], says: bool) -> None:
    assert says_soil(lines) is says
