"""Numbers and lists in sentences."""

from datetime import date

import pytest

from soiltrend.checks.wording import amount, analyte_name, change, day, figure, listed, once_in


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (3.0, "3"),
        (3.456, "3.46"),
        (0.04567, "0.0457"),
        (1234.5, "1 234"),
        (-0.5, "−0.5"),
        (0, "0"),
        (99.99, "100"),
    ],
)
def test_a_figure_has_about_three_places(number, text):
    assert figure(number) == text


@pytest.mark.parametrize(
    ("size", "log", "unit", "text"),
    [
        (0.8292, True, "mg/kg", "× 2.29"),
        (-0.6931, True, "mg/kg", "÷ 2"),
        (0.8, False, "%", "+0.8 points"),
        (-0.25, False, "[pH]", "−0.25"),
    ],
)
def test_a_change_is_a_factor_or_a_difference(size, log, unit, text):
    assert change(size, log, unit) == text


@pytest.mark.parametrize(
    ("names", "most", "text"),
    [
        ([], None, "none"),
        (["a"], None, "a"),
        (["a", "b"], None, "a and b"),
        (list("abcde"), 3, "a, b and 3 more"),
    ],
)
def test_lists_are_read_aloud(names, most, text):
    assert listed(names, most) == text


@pytest.mark.parametrize(
    ("chance", "text"),
    [(0.8, "more often than not"), (0.00123, "about once in 800"), (1e-9, "less than once in a million")],
)
def test_small_chances_are_said_as_once_in(chance, text):
    assert once_in(chance) == text


def test_names_units_and_dates():
    assert analyte_name("organic_matter") == "organic matter"
    assert analyte_name("ph") == "pH"
    assert amount(3.4, "%") == "3.4 %"
    assert amount(6.5, "[pH]") == "6.5"
    assert day(date(2021, 4, 12)) == "12 April 2021"
