"""Headings over several lines become whole; what spans several columns stays above them as a group."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.layout.joining import joined
from soiltrend.layout.lines import lines_of
from soiltrend.layout.stacked import is_row, whole_headings
from soiltrend.readers.document import Page, grid_page
from soiltrend.readers.plain import text_page
from tests.layout.bytes_of import read_bytes
from tests.layout.printing import Look, drawn, table_pdf, width_of

BODY = ["Bed 1     6.4     4.2     55      190", "Bed 2     6.1     3.9     48      170"]


def texts(page: Page) -> list[list[str]]:
    return [[phrase.text for phrase in line.phrases] for line in whole_headings(lines_of(page), page)]


@pytest.mark.parametrize(
    ("heads", "whole"),
    [
        (
            ["          Soil    Organic Phos-   Potas-", "Sample    pH      Matter  phorus  sium"],
            ["Sample", "Soil pH", "Organic Matter", "Phosphorus", "Potassium"],
        ),
        (
            [
                "                  Organic                ",
                "          Soil    Matter  P       K      ",
                "Sample    pH      %       ppm     ppm    ",
            ],
            ["Sample", "Soil pH", "Organic Matter %", "P ppm", "K ppm"],
        ),
    ],
)
def test_headings_of_several_lines_become_one_line(heads: list[str], whole: list[str]) -> None:
    assert texts(text_page([*heads, *BODY]))[0] == whole


@pytest.mark.parametrize(
    "lines",
    [
        ["Sample    pH      OM %    P ppm   K ppm", *BODY],
        ["Dear grower, here is what we found in your soil", *BODY],
        BODY,
    ],
)
def test_headings_of_one_line_and_none_stay_as_they_are(lines: list[str]) -> None:
    page = text_page(lines)
    assert [line.text for line in whole_headings(lines_of(page), page)] == [
        line.text for line in lines_of(page)
    ]


def test_cells_of_a_grid_are_never_put_together() -> None:
    rows = [["", "Soil", "Organic"], ["Sample", "pH", "Matter"], ["Bed 1", "6.4", "4.2"]]
    assert texts(grid_page(list(enumerate(rows, start=1))))[:2] == [["Soil", "Organic"], rows[1]]


def test_small_letters_set_lower_go_on_with_the_word_they_touch() -> None:
    page = drawn(
        {
            10.0: {0.0: "Sample", 60.0: "pH", 100.0: "Organic", 160.0: "K"},
            16.0: {70.0: "CaCl2"},
            22.0: {100.0: "Matter"},
        }
        | {40.0: {0.0: "Bed", 60.0: "6.4", 100.0: "4.2", 160.0: "190"}}
        | {60.0: {0.0: "Row", 60.0: "6.1", 100.0: "3.9", 160.0: "170"}}
    )
    assert "pHCaCl2" in texts(page)[0]


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("Bed 1     6.4     190", True),
        ("Potassium     190", True),
        ("Bed 1     sandy loam", False),
        ("Sample    pH     K", False),
        ("Report      4711", False),  # one number beside no name of a result
    ],
)
def test_what_is_a_row_of_results(line: str, row: bool) -> None:
    (printed,) = lines_of(text_page([line]))
    assert is_row(printed) is row


# How words are parted at the end of a line: common practice, no source.
@pytest.mark.parametrize(
    ("upper", "lower", "whole"),
    [
        ("Magne-", "sium", "Magnesium"),
        ("MAGNE-", "SIUM", "MAGNESIUM"),
        ("Magne\u2010", "sium", "Magnesium"),
        ("Nitrate-", "N", "Nitrate-N"),
        ("Mehlich-", "3", "Mehlich-3"),
        ("meq/", "100 g", "meq/100 g"),
        ("Plot 4 -", "north", "Plot 4 - north"),
        ("Organic", "Matter", "Organic Matter"),
    ],
)
def test_a_word_parted_at_the_end_of_a_line_is_one_word(upper: str, lower: str, whole: str) -> None:
    assert joined(upper, lower) == whole


# -------------------------------------------------------------------------------------- printed and read back

SATURATIONS = {"K": "base_saturation_k", "Mg": "base_saturation_mg", "Ca": "base_saturation_ca"}


@pytest.mark.parametrize("group", ["Percent base saturation", "Base saturation (%)", "Base saturation, %"])
@pytest.mark.parametrize("align", ["LEFT", "CENTER"])
def test_a_group_in_its_frame_belongs_to_every_column_below_it(group: str, align: str) -> None:
    rows = [
        ["", "", "", group, "", ""],
        ["Sample", "pH", "CEC<br/>meq/100g", *SATURATIONS],
        ["Bed 1", "6.4", "12.0", "3.1", "12.0", "70.0"],
        ["Bed 2", "6.1", "11.0", "2.9", "13.0", "68.0"],
    ]
    looks: list[Look] = [("SPAN", (3, 0), (5, 0)), ("ALIGN", (3, 0), (5, 0), align)]
    report = read_bytes(table_pdf(rows, [70, 50, 70, 55, 55, 55], *looks, ruled=True), "any.pdf")
    found = {(r.sample, r.analyte): (r.value_printed, r.unit) for r in report.readings}
    assert found == {
        ("Bed 1", "ph"): ("6.4", ""), ("Bed 1", "cec"): ("12.0", "meq/(100.g)"),
        ("Bed 1", "base_saturation_k"): ("3.1", "%"), ("Bed 1", "base_saturation_mg"): ("12.0", "%"),
        ("Bed 1", "base_saturation_ca"): ("70.0", "%"),
        ("Bed 2", "ph"): ("6.1", ""), ("Bed 2", "cec"): ("11.0", "meq/(100.g)"),
        ("Bed 2", "base_saturation_k"): ("2.9", "%"), ("Bed 2", "base_saturation_mg"): ("13.0", "%"),
        ("Bed 2", "base_saturation_ca"): ("68.0", "%"),
    }  # fmt: skip


@pytest.mark.parametrize("valign", ["TOP", "MIDDLE", "BOTTOM"])
@pytest.mark.parametrize("ruled", [False, True])
def test_a_heading_with_each_word_on_its_own_line_is_one_name(valign: str, ruled: bool) -> None:
    rows = [
        ["Sample", "Soil<br/>pH", "Cation<br/>Exchange<br/>Capacity<br/>meq/100g", "Potas-<br/>sium<br/>ppm"],
        ["Bed 1", "6.4", "12.0", "190"],
        ["Bed 2", "6.1", "11.0", "170"],
    ]
    report = read_bytes(table_pdf(rows, [60, 45, 65, 50], valign=valign, ruled=ruled), "any.pdf")
    found = {(r.sample, r.analyte): (r.value_printed, r.unit) for r in report.readings}
    assert found == {
        ("Bed 1", "ph"): ("6.4", ""), ("Bed 1", "cec"): ("12.0", "meq/(100.g)"),
        ("Bed 1", "potassium"): ("190", "mg/kg"), ("Bed 2", "ph"): ("6.1", ""),
        ("Bed 2", "cec"): ("11.0", "meq/(100.g)"), ("Bed 2", "potassium"): ("170", "mg/kg"),
    }  # fmt: skip


# words of a heading with its unit; analyte and code of the unit
HEADINGS = (
    (("Soil", "pH"), "ph", ""),
    (("Buffer", "pH"), "buffer_ph", ""),
    (("Organic", "Matter", "%"), "organic_matter", "%"),
    (("Phosphorus (P)", "ppm"), "phosphorus", "mg/kg"),
    (("Potassium (K)", "ppm"), "potassium", "mg/kg"),
    (("Calcium", "ppm"), "calcium", "mg/kg"),
    (("Magnesium", "mg/kg"), "magnesium", "mg/kg"),
    (("Cation Exchange Capacity", "meq/100g"), "cec", "meq/(100.g)"),
    (("Nitrate-N", "mg/kg"), "nitrate_n", "mg/kg"),
    (("Zinc (DTPA)", "ppm"), "zinc", "mg/kg"),
)


@st.composite
def broken(draw: st.DrawFn) -> tuple[str, str, str]:
    """Return a heading broken between any of its words, its analyte and unit."""
    words, analyte, unit = draw(st.sampled_from(HEADINGS))
    breaks = "".join(draw(st.sampled_from((" ", "<br/>"))) + word for word in words[1:])
    return words[0] + breaks, analyte, unit


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    columns=st.lists(broken(), min_size=2, max_size=6, unique_by=lambda column: column[1]),
    samples=st.integers(2, 6),
    valign=st.sampled_from(["TOP", "MIDDLE", "BOTTOM"]),
    ruled=st.booleans(),
)
def test_any_stacked_headings_read_back(
    columns: list[tuple[str, str, str]], samples: int, valign: str, ruled: bool
) -> None:
    beds = [f"Bed {number + 1}" for number in range(samples)]
    values = [[f"{5 + row + 0.7 * column:.1f}" for column in range(len(columns))] for row in range(samples)]
    head = ["Sample", *(text for text, *_ in columns)]
    body = [[bed, *row] for bed, row in zip(beds, values, strict=True)]
    widths = [max(width_of(text), 40.0) for text in head]
    printed = table_pdf([head, *body], widths, valign=valign, ruled=ruled)
    readings = read_bytes(printed, "any.pdf").readings
    # a pH has one scale, told by a unit [pH] or not
    found = {(r.sample, r.analyte, r.unit.replace("[pH]", "")): r.value_printed for r in readings}
    assert found == {
        (bed, analyte, unit): value
        for bed, row in zip(beds, values, strict=True)
        for (_, analyte, unit), value in zip(columns, row, strict=True)
    }
