"""Lines that head the rows below them give a unit, a role or a sample's name to those rows."""

import pytest

from soiltrend.layout.lines import lines_of
from soiltrend.layout.sections import Section, sections_of
from soiltrend.readers.plain import text_page


def headed(text: str, used: set[int] | None = None) -> dict[str, Section]:
    """Return the section of each line, by the line's first phrase."""
    lines = lines_of(text_page(text.splitlines()))
    return {lines[index].phrases[0].text: one for index, one in sections_of(lines, used or set()).items()}


@pytest.mark.parametrize(
    ("heading", "section"),
    [
        ("Base saturation (%)", Section("Base saturation (%)", unit="%")),
        ("Mehlich-3 extraction, ppm", Section("Mehlich-3 extraction, ppm", unit="ppm")),
        ("Olsen extraction", Section("Olsen extraction")),
        ("Recommendations", Section("Recommendations", role="recommendation")),
        ("Optimum range", Section("Optimum range", role="range")),
        ("Previous results", Section("Previous results", role="previous")),
        ("Bed 4:", Section("Bed 4", plain=True)),
    ],
)
def test_a_heading_says_what_the_rows_below_it_are(heading: str, section: Section) -> None:
    assert headed(f"{heading}\nK       3.1\nMg      12.0\n") == {"K": section, "Mg": section}


@pytest.mark.parametrize(
    "line",
    ["Crop: Vegetables", "Results follow below.", "Dear grower,", "42", "K   3.1", "far " * 20 + "too long"],
)
def test_a_field_a_sentence_and_a_row_head_nothing(line: str) -> None:
    assert headed(f"{line}\nMg      12.0\n") == {}


def test_the_next_heading_ends_a_section() -> None:
    found = headed("Base saturation (%)\nK    3.1\nMehlich-3, ppm\nP    40\n")
    assert (found["K"].unit, found["P"].unit) == ("%", "ppm")


def test_a_name_below_a_role_keeps_the_role() -> None:
    found = headed("Recommendations\nBed 4\nPhosphorus     20\nBed 5\nPotassium     30\n")
    assert {(one.text, one.role) for one in found.values()} == {
        ("Bed 4", "recommendation"),
        ("Bed 5", "recommendation"),
    }


def test_a_field_that_names_another_sample_ends_a_section() -> None:
    assert set(headed("Bed 4\npH     6.4\nSample: Bed 5\nK     110\n")) == {"pH"}


def test_a_table_ends_a_section() -> None:
    assert headed("Bed 4\nTest     Result\nK     110\n", used={1}) == {}
