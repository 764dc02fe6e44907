"""One printed result taken apart as reports print it (general usage, from memory), and no silent guess."""

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.values import Result, decimal_convention, parse_result


def measured(number: float, **others: object) -> Result:
    return Result(number=number, status="measured", **others)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("23", measured(23)),
        (" 6.4 ", measured(6.4)),
        ("6,4", measured(6.4)),
        ("-3", measured(-3)),
        ("+5", measured(5)),
        ("−0.5", measured(-0.5)),
        (".5", measured(0.5)),
        ("5.", measured(5)),
        ("<0.5", measured(0.5, qualifier="<")),
        ("< 0,5", measured(0.5, qualifier="<")),
        ("≤0.5", measured(0.5, qualifier="<")),
        ("<=0.5", measured(0.5, qualifier="<")),
        ("0.5<", measured(0.5, qualifier="<")),
        ("LT 0.5", measured(0.5, qualifier="<")),
        ("less than 0.5", measured(0.5, qualifier="<")),
        ("unter 0,5", measured(0.5, qualifier="<")),
        ("inférieur à 0,5", measured(0.5, qualifier="<")),
        ("&lt;0.5", measured(0.5, qualifier="<")),
        ("0.5 U", measured(0.5, qualifier="<")),
        ("> 200", measured(200, qualifier=">")),
        ("GT 100", measured(100, qualifier=">")),
        ("≥100", measured(100, qualifier=">")),
        ("100+", measured(100, qualifier=">")),
        ("mayor que 100", measured(100, qualifier=">")),
        ("> 100 ppm", measured(100, qualifier=">", unit="ppm")),
        ("23 M", measured(23, rating="M")),
        ("6.4L", measured(6.4, rating="L")),
        ("168 VH", measured(168, rating="VH")),
        ("168VH", measured(168, rating="VH")),
        ("221H+", measured(221, rating="H+")),
        ("28L+", measured(28, rating="L+")),
        ("12 C", measured(12, rating="C")),
        ("H 23", measured(23, rating="H")),
        ("Very High 23", measured(23, rating="Very High")),
        ("23 very high", measured(23, rating="very high")),
        ("6,4 sehr hoch", measured(6.4, rating="sehr hoch")),
        ("45 *****", measured(45, rating="*****")),
        ("23 mg/kg", measured(23, unit="mg/kg")),
        ("23mg/kg", measured(23, unit="mg/kg")),
        ("3.2 %", measured(3.2, unit="%")),
        ("0,012 %", measured(0.012, unit="%")),
        ("25 lbs/A VH", measured(25, unit="lbs/A", rating="VH")),
        ("23 M ppm", measured(23, unit="ppm", rating="M")),
        ("4.1*", measured(4.1, notes=("footnote",))),
        ("4.1a", measured(4.1, notes=("footnote",))),
        ("4.1¹", measured(4.1, notes=("footnote",))),
        ("4.1 ²", measured(4.1, notes=("footnote",))),
        ("1.5×10⁻³", measured(0.0015, notes=("spreadsheet-number",))),
        ("0.5 (ND)", measured(0.5, qualifier="<")),
        ("4.1 (A)", measured(4.1, rating="A", notes=("footnote",))),
        ("3.2 J", measured(3.2, notes=("estimated",))),
        ("~5", measured(5, notes=("approximate",))),
        ("ca. 5", measured(5, notes=("approximate",))),
        ("5.2 ± 0.3", measured(5.2, notes=("spread-printed",))),
        ("0", measured(0, notes=("zero-printed",))),
        ("0.0", measured(0, notes=("zero-printed",))),
        ("1.2E3", measured(1200, notes=("spreadsheet-number",))),
        ("1.2e+03", measured(1200, notes=("spreadsheet-number",))),
        ("1.234,5", measured(1234.5)),
        ("1,234.5", measured(1234.5)),
        ("1'234", measured(1234)),
        ("1 234", measured(1234, notes=("thousands-assumed",))),
        ("1,234,567", measured(1234567)),
        ("0,123", measured(0.123)),
    ],
)
def test_a_number_is_read_with_what_stands_around_it(cell: str, expected: Result) -> None:
    assert parse_result(cell) == expected


@pytest.mark.parametrize("cell", ["ND", "n.d.", "N.D.", "nd"])
def test_nd_is_below_a_limit_and_marked_as_doubtful(cell: str) -> None:
    """It means not detected or not determined (general usage, from memory)."""
    assert parse_result(cell) == Result(
        qualifier="<", status="not-detected", notes=("not-detected-or-not-determined",)
    )


@pytest.mark.parametrize(
    "cell", ["BDL", "BQL", "<LOD", "< LOQ", "<RL", "n.n.", "u.B.", "<NG", "not detected", "Nicht nachweisbar"]
)
def test_other_words_for_not_detected(cell: str) -> None:
    assert parse_result(cell) == Result(qualifier="<", status="not-detected")


@pytest.mark.parametrize("cell", ["trace", "tr", "Spuren", "traces", "trazas"])
def test_a_trace_is_below_a_limit_that_is_not_printed(cell: str) -> None:
    assert parse_result(cell) == Result(qualifier="<", status="not-detected", notes=("trace",))


@pytest.mark.parametrize(
    "cell",
    [
        "<LOD (0.2)",
        "BDL 0.2",
        "BDL (RL 0.2)",
        "<LOQ 0.2",
        "< LOD=0.2",
        "<RL(0,2)",
        "not detected (<0.2)",
        "n.n. (0,2)",
    ],
)
def test_a_limit_beside_not_detected_is_kept(cell: str) -> None:
    assert parse_result(cell) == Result(number=0.2, qualifier="<", status="not-detected")


@pytest.mark.parametrize(
    "cell",
    ["", " ", "-", "--", "—", "*", "n/a", "N/A", "NA", "n.b.", "k.A.", "not tested", "NaN", "None", "#N/A"],
)
def test_what_was_not_run_makes_no_row(cell: str) -> None:
    assert parse_result(cell) == Result(status="not-run")


@pytest.mark.parametrize(
    "cell", ["VL", "L", "M", "H", "VH", "L+", "H+", "A", "E", "Medium", "sehr hoch", "*****", "■■■"]
)
def test_a_rating_alone_is_text(cell: str) -> None:
    assert parse_result(cell) == Result(rating=cell)


@pytest.mark.parametrize(
    ("cell", "note"),
    [
        ("05-06", "looks-like-date"),
        ("6-May", "looks-like-date"),
        ("2.Mai", "looks-like-date"),
        ("Jun 05", "looks-like-date"),
        ("12.05.2021", "looks-like-date"),
        ("2021-05-12", "looks-like-date"),
        ("5/6", "looks-like-date"),
        ("20-40", "range"),
        ("5.5 – 6.5", "range"),
        ("5,5 bis 6,5", "range"),
        ("2-", "index-or-bound"),
        ("2+", "index-or-bound"),
        ("1E45", "spreadsheet-number"),
        ("#DIV/0!", "spreadsheet-error"),
        ("#####", "spreadsheet-error"),
        ("<0.5>", "contradictory-qualifiers"),
        ("23 bananas", "not-understood"),
        ("6 5", "not-understood"),
    ],
)
def test_what_is_no_plain_number_is_text_with_its_reason(cell: str, note: str) -> None:
    assert parse_result(cell) == Result(notes=(note,))


@pytest.mark.parametrize(
    "cell",
    [
        "inf",
        "-inf",
        "1e999",
        "P2O5",
        "pH 6.5",
        "(3)",
        "1.2.3",
        "1,23,456",
        "- 3",
        "1½",
        "5①",
        "6,O",
        "6O",
        "1l",
        "l.5",
        "Index 2-",
    ],
)
def test_what_is_not_understood_is_text(cell: str) -> None:
    assert parse_result(cell).status == "text"
    assert parse_result(cell).number is None


@pytest.mark.parametrize(
    ("cell", "decimal", "number"),
    [
        ("1,234", ".", 1234.0),
        ("1,234", ",", 1.234),
        ("1.234", ",", 1234.0),
        ("1.234", ".", 1.234),
        ("1 234,5", ",", 1234.5),
        ("6,5", ",", 6.5),
        ("12.345.678", ",", 12345678.0),
    ],
)
def test_the_mark_of_the_file_decides(cell: str, decimal: str, number: float) -> None:
    result = parse_result(cell, decimal)
    assert result.number == number
    assert "decimal-assumed" not in result.notes


@pytest.mark.parametrize(("cell", "number"), [("1,234", 1234.0), ("1.234", 1.234), ("12.345", 12.345)])
def test_without_evidence_the_english_reading_is_noted(cell: str, number: float) -> None:
    assert parse_result(cell) == measured(number, notes=("decimal-assumed",))
    assert parse_result(cell, "") == parse_result(cell)


@pytest.mark.parametrize(
    ("cell", "decimal"), [("6,5", "."), ("6.5", ","), ("1.234,5", "."), ("1,234.5", ",")]
)
def test_a_cell_against_the_mark_of_its_file_is_no_number(cell: str, decimal: str) -> None:
    assert parse_result(cell, decimal) == Result(notes=("decimal-conflict",))


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (["6,5", "1.234", "12"], ","),
        (["1,234", "2.5"], "."),
        (["<0,5 mg/kg", "12"], ","),
        (["6.4L", "168 VH"], "."),
        (["1.234,5"], ","),
        (["1,234.5"], "."),
        (["1.234.567"], ","),
        (["1,234"], ""),
        (["1.234", "12"], ""),
        (["6,5", "6.5"], ""),
        (["12.05.2021", "page 1.2 of 3", "P2O5", ""], ""),
        ([], ""),
    ],
)
def test_the_cells_of_a_file_show_their_decimal_mark(cells: list[str], expected: str) -> None:
    assert decimal_convention(cells) == expected


FORMATS = [
    (group, point) for group, point in product(["", ",", ".", " ", "'", "\u00a0"], ".,") if group != point
]


def printed(value: float, places: int, group: str, point: str) -> str:
    return f"{value:,.{places}f}".translate(str.maketrans({",": group, ".": point}))


@settings(deadline=None, max_examples=400)
@given(
    st.floats(min_value=0.001, max_value=9_999_999),
    st.integers(min_value=0, max_value=4),
    st.sampled_from(FORMATS),
)
def test_any_number_in_any_local_format_reads_back(value: float, places: int, form: tuple[str, str]) -> None:
    group, point = form
    cell = printed(value, places, group, point)
    result = parse_result(cell, point)
    assert result.number == pytest.approx(round(value, places), abs=1e-9)


@settings(deadline=None, max_examples=300)
@given(
    st.decimals(min_value=0, max_value=99999, places=2),
    st.sampled_from(["<", ">", ""]),
    st.sampled_from(["", "L", "VH", "M", "H+"]),
    st.sampled_from(["", "mg/kg", "ppm", "%", "lb/A"]),
)
def test_qualifier_rating_and_unit_survive_together(
    number: object, sign: str, rating: str, unit: str
) -> None:
    result = parse_result(f"{sign}{number} {unit} {rating}".strip(), ".")
    assert (result.qualifier, result.rating, result.unit) == (sign, rating, unit)
    assert result.number == float(number)  # type: ignore[arg-type]


@settings(deadline=None, max_examples=500)
@given(st.text(max_size=30), st.sampled_from([".", ",", "", None]))
def test_any_text_gives_a_result_that_is_never_nan_or_infinite(text: str, decimal: str | None) -> None:
    result = parse_result(text, decimal)
    assert result.status in {"measured", "not-detected", "not-run", "text"}
    assert result.number is None or math.isfinite(result.number)
    assert (result.status == "measured") <= (result.number is not None)
    assert result.qualifier in {"", "<", ">"}


@settings(deadline=None, max_examples=300)
@given(st.text(alphabet="0123456789.,<>+-eE LMHV%*()'", max_size=12))
def test_number_like_text_is_never_read_without_digits(text: str) -> None:
    result = parse_result(text)
    if result.number is not None:
        assert any(char.isdigit() for char in text)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.text(max_size=12), max_size=8))
def test_the_decimal_mark_of_any_cells_is_one_of_three(cells: list[str]) -> None:
    assert decimal_convention(cells) in {"", ".", ","}
