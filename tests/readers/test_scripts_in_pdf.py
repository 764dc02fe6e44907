"""Raised and lowered letters on a printed page: no mark of a footnote ever becomes a digit of a result."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.layout import read_report
from soiltrend.layout.reading import ReportReading
from soiltrend.readers import open_document
from soiltrend.readers.scripts import Placed, with_scripts
from tests.layout.bytes_of import read_bytes
from tests.layout.printing import table_pdf

HEIGHT = 10.0


def printed(heading: str, *cells: str) -> bytes:
    """Print a table of one result for each bed beside its pH."""
    rows = [[f"Bed {number}", "6.4", cell] for number, cell in enumerate(cells, start=1)]
    return table_pdf([["Sample", "Soil pH", heading], *rows], [80, 60, 150])


def values(report: ReportReading, analyte: str) -> list[float | None]:
    return [r.result.number for r in report.readings if r.analyte == analyte]


@pytest.mark.parametrize(
    ("heading", "analyte", "form", "method", "unit"),
    [
        ("P<sub>2</sub>O<sub>5</sub> mg/kg", "phosphorus", "P2O5", "", "mg/kg"),
        ("K<sub>2</sub>O mg/100 g", "potassium", "K2O", "", "mg/(100.g)"),
        ("Phosphorus (P<sub>2</sub>O<sub>5</sub>) ppm", "phosphorus", "P2O5", "", "mg/kg"),
        ("NO<sub>3</sub>-N ppm", "nitrate_n", "", "", "mg/kg"),
        ("Mg (CaCl<sub>2</sub>) mg/kg", "magnesium", "", "cacl2", "mg/kg"),
        ("Zn mg kg<super>-1</super>", "zinc", "", "", "mg/kg"),
        ("K ppm<super>1</super>", "potassium", "", "", "mg/kg"),
        ("Ca<super>2+</super> ppm", "calcium", "", "", "mg/kg"),
        ("K<super>+</super> ppm", "potassium", "", "", "mg/kg"),
    ],
)
def test_a_heading_with_scripts_in_a_file(
    tmp_path: Path, heading: str, analyte: str, form: str, method: str, unit: str
) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(printed(heading, "45", "50"))
    found = [r for r in read_report(open_document(path)).readings if r.analyte != "ph"]
    assert {(r.analyte, r.form, r.method, r.unit) for r in found} == {(analyte, form, method, unit)}
    assert [r.result.number for r in found] == [45, 50]


@pytest.mark.parametrize("heading", ["pH<sub>CaCl2</sub>", "pH (CaCl<sub>2</sub>)"])
def test_a_ph_takes_the_method_set_lower_behind_it(heading: str) -> None:
    content = table_pdf(
        [["Sample", heading, "K ppm"], ["Bed 1", "5.6", "190"], ["Bed 2", "5.9", "170"]], [80, 90, 60]
    )
    found = [
        (r.method, r.result.number) for r in read_bytes(content, "any.pdf").readings if r.analyte == "ph"
    ]
    assert found == [("cacl2", 5.6), ("cacl2", 5.9)]


NUMBERS = st.integers(1, 9000).map(lambda tenths: f"{tenths / 10:.1f}")
MARKS = st.one_of(st.integers(1, 99).map(str), st.sampled_from(["a", "b", "*", "†"]))


@settings(deadline=None, max_examples=60, derandomize=True)
@given(numbers=st.lists(NUMBERS, min_size=1, max_size=4), mark=MARKS)
def test_a_raised_mark_never_changes_a_number(numbers: list[str], mark: str) -> None:
    cells = [f"{number}<super>{mark}</super>" for number in numbers]
    report = read_bytes(printed("Potassium ppm", *cells), "any.pdf")
    assert values(report, "potassium") == [float(number) for number in numbers]
    assert values(report, "ph") == [6.4] * len(numbers)


def word(text: str, x0: float, *, size: float = 1.0, shift: float = 0.0) -> Placed:
    """Place a word whose foot is ``shift`` heights below the line's; both in heights of the line."""
    bottom = HEIGHT * (2 + shift)
    x1 = x0 + 5 * size * len(text)
    return {"text": text, "x0": x0, "x1": x1, "top": bottom - size * HEIGHT, "bottom": bottom}


@pytest.mark.parametrize(
    ("text", "small", "shift", "expected"),
    [
        ("P", "2", 0.15, ["P2"]),
        ("P", "2", 0.0, ["P", "2"]),  # small and on the line: no script
        ("cm", "3", -0.4, ["cm3"]),
        ("m", "2", -0.4, ["m2"]),
        ("g", "2", -0.4, ["g"]),  # raised behind what is no length: a mark
        ("NO", "-", -0.4, ["NO-"]),
        ("Ca", "2+", -0.4, ["Ca2+"]),
        ("5.6", "1", -0.4, ["5.6"]),
        ("5.6", "12", -0.4, ["5.6"]),
        # left standing alone, either was taken for a result of its own
        ("5.6", "123", -0.4, ["5.6"]),
        ("5.6", "1", 0.15, ["5.6"]),
    ],
)
def test_a_small_word_behind_another(text: str, small: str, shift: float, expected: list[str]) -> None:
    base = word(text, 0)
    assert [
        w["text"] for w in with_scripts([base, word(small, base["x1"], size=0.6, shift=shift)])
    ] == expected


@pytest.mark.parametrize("gap", [2.0, 10.0])
def test_a_small_word_that_touches_nothing_stays_alone(gap: float) -> None:
    base = word("Bed", 0)
    found = with_scripts([base, word("2", base["x1"] + gap, size=0.6, shift=0.15)])
    assert [w["text"] for w in found] == ["Bed", "2"]


def test_no_words_are_none() -> None:
    assert with_scripts([]) == []
