"""Small letters set lower or higher: joined to letters, never to the digits of a number."""

import io

import pytest
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from soiltrend.readers.scripts import Placed, with_scripts
from tests.layout.bytes_of import read_bytes


def word(text: str, x0: float, top: float, size: float, width: float) -> Placed:
    return {"text": text, "x0": x0, "x1": x0 + width, "top": top, "bottom": top + size}


@pytest.mark.parametrize(
    ("words", "joined"),
    [
        # lowered: top and bottom 2 below, 0.7 of the size
        ([word("pH", 0, 10, 10, 12), word("CaCl2", 12, 16, 6, 20)], ["pHCaCl2"]),
        (
            [
                word("P", 0, 10, 10, 6),
                word("2", 6, 15, 7, 4),
                word("O", 10, 10, 10, 7),
                word("5", 17, 15, 7, 4),
            ],
            ["P2O5"],
        ),
        ([word("(CaCl", 0, 10, 10, 30), word("2", 30, 15, 7, 4), word(")", 34, 10, 10, 3)], ["(CaCl2)"]),
        # raised: a footnote's mark goes, a power and a charge stay
        ([word("5.6", 0, 10, 10, 14), word("1", 14, 8, 6, 4)], ["5.6"]),
        ([word("g/cm", 0, 10, 10, 24), word("3", 24, 8, 6, 4)], ["g/cm3"]),
        ([word("kg", 0, 10, 10, 12), word("-1", 12, 8, 6, 6)], ["kg-1"]),
        ([word("mg/kg", 0, 10, 10, 30), word("1", 30, 8, 6, 4)], ["mg/kg"]),
        # a digit set off a number is no digit of it and no number of its own, with a blank before it or not
        ([word("45", 0, 10, 10, 12), word("2", 12, 15, 7, 4)], ["45"]),
        ([word("190", 0, 10, 10, 18), word("1", 21, 7, 7, 4)], ["190"]),
        ([word("190", 0, 10, 10, 18), word("123", 21, 7, 7, 12)], ["190"]),
        # words of one size stay as they are
        ([word("Bed", 0, 10, 10, 18), word("1", 19, 10, 10, 5)], ["Bed", "1"]),
    ],
)
def test_scripts_join_letters_and_marks_go(words: list[Placed], joined: list[str]) -> None:
    assert [placed["text"] for placed in with_scripts(words)] == joined


def test_a_pdf_with_scripts_reads_the_form_the_method_and_the_number_alone() -> None:
    style = getSampleStyleSheet()["Normal"]
    head = ["Sample", "pH<sub>CaCl2</sub>", "P<sub>2</sub>O<sub>5</sub> mg/kg", "K mg/kg<super>1</super>"]
    rows = [head, ["Bed 1", "5.6<super>1</super>", "45<super>2</super>", "110"], ["Bed 2", "5.9", "50", "98"]]
    stream = io.BytesIO()
    SimpleDocTemplate(stream).build(
        [
            Paragraph("Soil test", style),
            Table([[Paragraph(text, style) for text in row] for row in rows]),
        ]
    )
    found = {
        (r.sample, r.analyte, r.form, r.method, r.result.number)
        for r in read_bytes(stream.getvalue(), "report.pdf").readings
    }
    assert found == {
        ("Bed 1", "ph", "", "cacl2", 5.6), ("Bed 1", "phosphorus", "P2O5", "", 45.0),
        ("Bed 1", "potassium", "", "", 110.0), ("Bed 2", "ph", "", "cacl2", 5.9),
        ("Bed 2", "phosphorus", "P2O5", "", 50.0), ("Bed 2", "potassium", "", "", 98.0),
    }  # fmt: skip


@pytest.mark.parametrize(
    "mark", ["<super>1</super>", "<sub>2</sub>", "<super>123</super>", " <super>1</super>", " <sub>2</sub>"]
)
def test_a_mark_behind_a_number_is_no_result_however_narrow_the_cell(mark: str) -> None:
    style = getSampleStyleSheet()["Normal"]
    rows = [["Sample", "pH", "K ppm"], ["Bed 1", "6.4", f"190{mark}"], ["Bed 2", "6.1", "150"]]
    stream = io.BytesIO()
    SimpleDocTemplate(stream).build(
        [
            Paragraph("Soil test", style),
            Table([[Paragraph(text, style) for text in row] for row in rows], colWidths=[60, 50, 50]),
        ]
    )
    readings = read_bytes(stream.getvalue(), "report.pdf").readings
    assert {(r.sample, r.result.number) for r in readings if r.analyte == "potassium"} == {
        ("Bed 1", 190.0), ("Bed 2", 150.0),
    }  # fmt: skip
