"""Delimited text of any kind becomes one grid of cells, each with the line it stands on."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.readers import delimited
from soiltrend.readers.document import Page

HEAD = "Sample,pH,P\n"


def page(text: str, name: str = "a.csv") -> Page:
    return delimited.read(text.encode(), name)[0][0]


def cells(text: str) -> dict[tuple[int, int], str]:
    """(line, column from 0) → text of each filled cell."""
    return {(word.line, int(word.x0)): word.text for word in page(text).words}


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(delimiter: str) -> None:
    text = HEAD.replace(",", delimiter) + delimiter.join(["Bed 1", "6.5", "45"])
    assert cells(text) == {
        (1, 0): "Sample", (1, 1): "pH", (1, 2): "P", (2, 0): "Bed 1", (2, 1): "6.5", (2, 2): "45",
    }  # fmt: skip


def test_a_decimal_comma_does_not_part_a_file_with_semicolons() -> None:
    assert cells("Probe;pH;P\nBeet 1;6,5;12,3\nBeet 2;6,6;13,0\n")[2, 1] == "6,5"


def test_a_spreadsheets_hint_names_the_delimiter_and_keeps_the_count_of_lines() -> None:
    assert cells("sep=;\nProbe;pH\nBeet 1;6,5\n")[3, 1] == "6,5"


@pytest.mark.parametrize("quote", ['"', "'"])
def test_quotes_hold_delimiters_and_are_taken_off(quote: str) -> None:
    text = "\n".join(",".join(f"{quote}{cell}{quote}" for cell in row) for row in
                     [["Sample", "pH"], ["Bed 1, north", "6.5"], ["Bed 2, south", "6.6"]])  # fmt: skip
    assert cells(text)[2, 0] == "Bed 1, north"


def test_a_cell_of_two_lines_does_not_shift_the_lines_below() -> None:
    found = cells('"Sample\nname",pH\nBed 1,6.5\n')
    assert found[1, 0] == "Sample name"
    assert found[3, 1] == "6.5"


def test_a_quote_that_is_never_closed_does_not_swallow_the_file() -> None:
    text = 'Sample,pH\n"Bed 1,6.5\n' + "".join(f"Bed {n},6.{n % 10}\n" for n in range(2, 40))
    assert cells(text)[30, 1] == "6.9"


@pytest.mark.parametrize(
    ("name", "text", "is_table"),
    [
        ("a.csv", "anything at all", True),
        ("a.txt", "Sample;pH\nBed 1;6.5\n", True),
        ("a.txt", "Sample,pH,P\nBed 1,6.5,45\n", True),
        ("a", "Sample\tpH\nBed 1\t6.5\n", True),
        ("a.txt", "Dear Ann, thank you, the results, as promised.\nYours, Bob, and Eve.\n", False),
        ("a.txt", "pH-Wert: 6,5\nPhosphor: 12,3\nKalium: 18,0\n", False),
        ("a.txt", "| pH | 6.5 |\n| P  | 45  |\n", False),
        ("a.txt", "pH    6.5\nP     45\n", False),
    ],
)
def test_what_is_a_table_and_what_is_a_text(name: str, text: str, is_table: bool) -> None:
    assert delimited.recognises(text.encode(), name) is is_table


cell_text = st.text("abcXYZ 0123456789.,;|'\"äé", max_size=8).map(str.strip)


@given(
    st.lists(st.lists(cell_text, min_size=3, max_size=3), min_size=2, max_size=8),
    st.sampled_from(",;\t|"),
)
@settings(max_examples=80, deadline=None)
def test_cells_written_with_every_quote_come_back(rows: list[list[str]], delimiter: str) -> None:
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows([["Sample", "pH", "P"], *rows])
    found = cells(f"sep={delimiter}\n{stream.getvalue()}")
    for index, row in enumerate(rows):
        for column, text in enumerate(row):
            assert found.get((index + 3, column), "") == " ".join(text.split())
