"""A group of headings reaches over the names it is set over, as far as a reader's eye would take it."""

import pytest

from soiltrend.layout.lines import lines_of
from soiltrend.layout.reach import reach_of
from soiltrend.readers.document import Page, Rule, Word, grid_page
from soiltrend.readers.plain import text_page


def under(page: Page) -> dict[str, list[str]]:
    """Return the names that each group of the first line reaches over, by their middle."""
    groups, names, *_ = lines_of(page)
    zones = {
        phrase.text: reach_of(groups, index, page, names.phrases)
        for index, phrase in enumerate(groups.phrases)
    }
    return {
        text: [name.text for name in names.phrases if zone.holds(name.middle)] for text, zone in zones.items()
    }


@pytest.mark.parametrize(
    ("groups", "names", "expected"),
    [
        (  # centred
            "               Percent base saturation",
            "Sample   pH      K      Mg      Ca",
            {"Percent base saturation": ["K", "Mg", "Ca"]},
        ),
        (  # centred, and narrower than its names
            "                   Base saturation",
            "Sample   pH      K      Mg      Ca",
            {"Base saturation": ["K", "Mg", "Ca"]},
        ),
        (  # flush left with the first name
            "         Mehlich-3",
            "Sample   P      K      Mg      Ca",
            {"Mehlich-3": ["P", "K", "Mg", "Ca"]},
        ),
        (  # over one name only
            "                            ppm",
            "Sample   pH      OM      Calcium   Texture",
            {"ppm": ["Calcium"]},
        ),
        (  # two groups part the names between them
            "          Mehlich-3, ppm         Base saturation, %",
            "Sample   P      K      Mg         K      Mg      Ca",
            {"Mehlich-3, ppm": ["P", "K", "Mg"], "Base saturation, %": ["K", "Mg", "Ca"]},
        ),
    ],
)
def test_in_a_text_it_reaches_over_the_names_it_stands_over(
    groups: str, names: str, expected: dict[str, list[str]]
) -> None:
    assert under(text_page([groups, names])) == expected


@pytest.mark.parametrize(
    ("groups", "expected"),
    [
        (["", "", "Base saturation", "", ""], {"Base saturation": ["K", "Mg", "Ca"]}),
        (["", "Lab", "Base saturation", "", ""], {"Lab": ["pH"], "Base saturation": ["K", "Mg", "Ca"]}),
        (["", "", "ppm", "%", ""], {"ppm": ["K"], "%": ["Mg", "Ca"]}),
    ],
)
def test_in_a_grid_it_reaches_up_to_the_next_filled_cell(
    groups: list[str], expected: dict[str, list[str]]
) -> None:
    assert under(grid_page([(1, groups), (2, ["Sample", "pH", "K", "Mg", "Ca"])])) == expected


@pytest.mark.parametrize("x0", [62.0, 95.0, 118.0])
def test_between_upright_rules_it_reaches_from_rule_to_rule_wherever_it_is_set(x0: float) -> None:
    names = [Word(text, x, 20, x + 12, 30, 2) for text, x in (("pH", 30), ("K", 65), ("Mg", 95), ("Ca", 125))]
    group = Word("Saturation", x0, 5, x0 + 30, 15, 1)
    rules = tuple(Rule(x, 0, x, 40) for x in (0.0, 60.0, 150.0))
    page = Page(number=1, medium="drawn", words=(group, *names), rules=rules, space=5)
    assert under(page) == {"Saturation": ["K", "Mg", "Ca"]}


def test_a_rule_that_ends_above_the_group_parts_nothing() -> None:
    names = [Word(text, x, 40, x + 12, 50, 2) for text, x in (("K", 65), ("Mg", 95), ("Ca", 125))]
    group = Word("Saturation", 80, 25, 122, 35, 1)
    rules = (Rule(60, 30, 60, 60), Rule(90, 0, 90, 20), Rule(150, 30, 150, 60), Rule(60, 20, 60, 32))
    page = Page(number=1, medium="drawn", words=(group, *names), rules=rules, space=5)
    assert under(page) == {"Saturation": ["K", "Mg", "Ca"]}
