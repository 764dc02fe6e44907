"""Results listed in a line of text belong to the sample named before the colon."""

import pytest

from soiltrend.layout.reading import ReportReading
from tests.layout.bytes_of import read_bytes

Row = tuple[str, str, str, float | None, str]


def read(*lines: str) -> ReportReading:
    return read_bytes("\n".join(["Soil test", *lines, ""]).encode(), "told.txt")


def rows(report: ReportReading) -> set[Row]:
    """Return sample, analyte, sign, number and unit of each result."""
    return {(r.sample, r.analyte, r.result.qualifier, r.result.number, r.unit) for r in report.readings}


def test_each_line_gives_its_results_to_its_own_sample() -> None:
    report = read("Bed 1: pH 6.4, OM 4.2 %, P 55 ppm", "Bed 2: pH 6.1; OM 3.9 %; P 48 ppm")
    assert rows(report) == {
        ("Bed 1", "ph", "", 6.4, ""),
        ("Bed 1", "organic_matter", "", 4.2, "%"),
        ("Bed 1", "phosphorus", "", 55, "mg/kg"),
        ("Bed 2", "ph", "", 6.1, ""),
        ("Bed 2", "organic_matter", "", 3.9, "%"),
        ("Bed 2", "phosphorus", "", 48, "mg/kg"),
    }


def test_a_list_without_a_name_is_read_without_one() -> None:
    assert rows(read("pH 6.4, K 120 ppm")) == {("", "ph", "", 6.4, ""), ("", "potassium", "", 120, "mg/kg")}


@pytest.mark.parametrize(
    ("printed", "sign", "number"), [("K < 20 ppm", "<", 20), ("K <20 ppm", "<", 20), ("K n.d.", "<", None)]
)
def test_a_limit_in_a_list_keeps_its_sign(printed: str, sign: str, number: float | None) -> None:
    (one,) = [r for r in read(f"Bed 1: pH 6.4, {printed}").readings if r.analyte == "potassium"]
    assert (one.result.qualifier, one.result.number) == (sign, number)


@pytest.mark.parametrize(
    ("piece", "text", "why"),
    [
        ("optimum K 150 ppm", "150 ppm", "range to aim at"),
        ("Ca:Mg 5.1", "5.1", "ratio"),
    ],
)
def test_what_a_list_tells_beside_results_is_left_alone(piece: str, text: str, why: str) -> None:
    report = read(f"Bed 1: pH 6.4, P 40 ppm, {piece}")
    assert {r.analyte for r in report.readings} == {"ph", "phosphorus"}
    assert [(left.text, why in left.reason) for left in report.left_alone] == [(text, True)]


@pytest.mark.parametrize(
    "line",
    [
        "Bed 1: dug in spring, limed in May",
        "We grew kale, leeks and 20 pumpkins",
        "Potassium, magnesium and calcium were low",
    ],
)
def test_a_sentence_with_commas_lists_no_results(line: str) -> None:
    assert not read(line).readings


def test_the_reason_says_where_a_result_was_told() -> None:
    for one in read("Bed 1: pH 6.4, P 40 ppm").readings:
        assert "in a line that lists results" in one.reason
        assert one.place == "line 2"
