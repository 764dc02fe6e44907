"""Names that run over several lines of their row come together; lines that stand apart stay apart."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.layout.lines import lines_of
from soiltrend.layout.wrapped import whole_rows
from soiltrend.readers.document import Page
from soiltrend.readers.plain import text_page
from tests.layout.bytes_of import read_bytes
from tests.layout.printing import drawn, table_pdf, width_of

HEAD = {10.0: {0.0: "Sample", 100.0: "pH", 150.0: "K"}}
RESULTS = {100.0: "6.4", 150.0: "190"}
ALIGNED = ("TOP", "MIDDLE", "BOTTOM")


def texts(page: Page) -> list[str]:
    return [line.text for line in whole_rows(lines_of(page), page)]


@pytest.mark.parametrize(
    "rows",
    [
        # top aligned, centred on three lines, bottom aligned; the other row 40 below
        {30.0: {0.0: "Home field", **RESULTS}, 42.0: {0.0: "by the"}, 54.0: {0.0: "old silo"}},
        {30.0: {0.0: "Home field"}, 42.0: {0.0: "by the", **RESULTS}, 54.0: {0.0: "old silo"}},
        {30.0: {0.0: "Home field"}, 42.0: {0.0: "by the"}, 54.0: {0.0: "old silo", **RESULTS}},
        # centred on an even number of lines: the results stand between two lines of the name
        {
            30.0: {0.0: "Home"},
            42.0: {0.0: "field by"},
            48.0: RESULTS,
            54.0: {0.0: "the old"},
            66.0: {0.0: "silo"},
        },
    ],
    ids=["top", "middle", "bottom", "between"],
)
def test_a_name_over_several_lines_is_put_into_its_row(rows: dict[float, dict[float, str]]) -> None:
    page = drawn(HEAD | rows | {88.0: {0.0: "Creek", 100.0: "6.1", 150.0: "170"}})
    assert texts(page) == [
        "Sample  pH  K",
        "Home field by the old silo  6.4  190",
        "Creek  6.1  170",
    ]


@pytest.mark.parametrize("pitch", [12.0, 16.0, 24.0])
def test_a_line_at_the_distance_of_a_row_is_no_part_of_a_name(pitch: float) -> None:
    names = ["North garden", "Bed 1", "Bed 2", "South garden", "Bed 3", "Bed 4"]
    rows = [{0.0: name} | (RESULTS if name.startswith("Bed") else {}) for name in names]
    page = drawn(HEAD | {10.0 + pitch * number: row for number, row in enumerate(rows, start=1)})
    assert texts(page)[1:] == [f"{name}  6.4  190" if name.startswith("Bed") else name for name in names]


def test_names_in_two_columns_are_put_together_each_for_itself() -> None:
    page = drawn(
        {10.0: {0.0: "Sample", 100.0: "Crop", 200.0: "pH"}}
        | {30.0: {0.0: "Home field", 100.0: "Kale and", 200.0: "6.4"}, 42.0: {0.0: "by silo", 100.0: "leeks"}}
        | {70.0: {0.0: "Creek", 100.0: "Beans", 200.0: "6.1"}}
    )
    assert texts(page)[1:] == ["Home field by silo  Kale and leeks  6.4", "Creek  Beans  6.1"]


def test_a_number_below_a_result_is_no_part_of_its_row() -> None:
    page = drawn(
        HEAD | {30.0: {0.0: "Bed 1", **RESULTS}, 42.0: {150.0: "0.5"}, 70.0: {0.0: "Bed 2", **RESULTS}}
    )
    assert texts(page)[1:] == ["Bed 1  6.4  190", "0.5", "Bed 2  6.4  190"]


def test_a_line_over_two_columns_is_no_name() -> None:
    said = "taken by the grower herself"
    page = drawn(HEAD | {30.0: {0.0: "Bed 1", **RESULTS}, 42.0: {0.0: said}, 70.0: {0.0: "Bed 2", **RESULTS}})
    assert texts(page)[1:] == ["Bed 1  6.4  190", said, "Bed 2  6.4  190"]


def test_lines_of_a_text_are_all_equally_far_apart_and_stay_as_they_are() -> None:
    printed = ["Sample      pH    K", "Home field  6.4   190", "by silo", "Creek       6.1   170"]
    assert len(texts(text_page(printed))) == len(printed)


def test_lines_are_counted_again_from_the_top() -> None:
    page = drawn(HEAD | {30.0: {0.0: "Home", **RESULTS}, 42.0: {0.0: "field"}, 70.0: {0.0: "Bed", **RESULTS}})
    assert [line.index for line in whole_rows(lines_of(page), page)] == [0, 1, 2]


# -------------------------------------------------------------------------------------- printed and read back

WORDS = (
    "Creek",
    "north",
    "garden",
    "bottom",
    "upper",
    "terrace",
    "greenhouse",
    "by",
    "the",
    "willow",
    "orchard",
)
NAMED = {
    "pH": ("ph", ""), "Organic<br/>matter": ("organic_matter", "%"), "Potassium": ("potassium", "ppm"),
    "Phosphorus<br/>(Olsen)": ("phosphorus", "ppm"), "Cation<br/>exchange<br/>capacity": ("cec", "meq/100g"),
    "Zinc": ("zinc", "ppm"),
}  # fmt: skip


@st.composite
def names(draw: st.DrawFn) -> str:
    """Return a sample's name, broken to one to three lines of one to three words."""
    lines = draw(st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3), min_size=1, max_size=3))
    return "<br/>".join(" ".join(line) for line in lines) + f" {draw(st.sampled_from('ABCDEFGH'))}"


def value(row: int, column: int) -> str:
    return f"{5 + row + 0.7 * column:.1f}"


@settings(deadline=None, max_examples=30, derandomize=True)
@given(
    samples=st.lists(names(), min_size=2, max_size=6, unique_by=lambda name: name.replace("<br/>", " ")),
    columns=st.integers(2, 6),
    valign=st.sampled_from(ALIGNED),
    ruled=st.booleans(),
)
def test_any_names_of_samples_read_back(samples: list[str], columns: int, valign: str, ruled: bool) -> None:
    heads = ["pH", "OM %", "P ppm", "K ppm", "Mg ppm", "Zn ppm"][:columns]
    analytes = ["ph", "organic_matter", "phosphorus", "potassium", "magnesium", "zinc"][:columns]
    rows = [[name, *(value(row, column) for column in range(columns))] for row, name in enumerate(samples)]
    widths = [max(map(width_of, ["Sample", *samples])), *([55.0] * columns)]
    report = read_bytes(table_pdf([["Sample", *heads], *rows], widths, valign=valign, ruled=ruled), "any.pdf")
    assert {(r.sample, r.analyte): r.value_printed for r in report.readings} == {
        (name.replace("<br/>", " "), analyte): value(row, column)
        for row, name in enumerate(samples)
        for column, analyte in enumerate(analytes)
    }


@settings(deadline=None, max_examples=30, derandomize=True)
@given(
    tests=st.lists(st.sampled_from(sorted(NAMED)), min_size=2, max_size=6, unique=True),
    samples=st.integers(1, 3),
    valign=st.sampled_from(ALIGNED),
    ruled=st.booleans(),
)
def test_any_names_of_results_read_back(tests: list[str], samples: int, valign: str, ruled: bool) -> None:
    beds = [f"Bed {number + 1}" for number in range(samples)]
    body = [
        [test, NAMED[test][1], *(value(row, bed) for bed in range(samples))] for row, test in enumerate(tests)
    ]
    widths = [max(map(width_of, tests)), 60.0, *([55.0] * samples)]
    printed = table_pdf([["Test", "Unit", *beds], *body], widths, valign=valign, ruled=ruled)
    found = {(r.sample, r.analyte): r.value_printed for r in read_bytes(printed, "any.pdf").readings}
    assert found == {
        (bed, NAMED[test][0]): value(row, column)
        for row, test in enumerate(tests)
        for column, bed in enumerate(beds)
    }
