"""Cells that rules draw are read whole: wrapped names, two results in one cell, tall headings."""

import io

from reportlab.lib.colors import black
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from soiltrend.layout.ruled import Frame
from soiltrend.readers.document import Rule
from tests.layout.bytes_of import read_bytes

STYLE = getSampleStyleSheet()["Normal"]


def printed(rows: list[list[str]], looks: list[tuple[object, ...]]) -> bytes:
    stream = io.BytesIO()
    cells = [[Paragraph(text, STYLE) for text in row] for row in rows]
    table = Table(cells, colWidths=[120, 90, *([80] * (len(rows[0]) - 2))])
    table.setStyle([("GRID", (0, 0), (-1, -1), 0.5, black), ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), *looks])
    SimpleDocTemplate(stream).build([Paragraph("Soil test", STYLE), table])
    return stream.getvalue()


def test_two_units_in_one_cell_are_two_rows_that_agree() -> None:
    content = printed(
        [
            ["Parameter", "Units", "Garlic beds", "Fallow ground"],
            ["Exchangeable Calcium", "cmol+/kg<br/>mg/kg", "13.12<br/>2629", "2.75<br/>552"],
            ["Zinc", "mg/kg", "14.2", "0.7"],
        ],
        [],
    )
    reading = read_bytes(content, "report.pdf")
    calcium = {r.sample: r for r in reading.readings if r.analyte == "calcium"}
    assert set(calcium) == {"Garlic beds", "Fallow ground"}
    assert all("agrees" in reading.reason for reading in calcium.values())


def test_tall_headings_stand_in_the_row_of_those_beside_them() -> None:
    content = printed(
        [
            ["Parameter", "Units", "Sample 1", "Sample 2"],
            ["", "", "Garlic beds", "Fallow ground"],
            ["pH", "", "6.9", "5.2"],
            ["Organic matter by loss on ignition at 360 C", "%", "6.1", "1.7"],
        ],
        [("SPAN", (0, 0), (0, 1)), ("SPAN", (1, 0), (1, 1))],
    )
    reading = read_bytes(content, "report.pdf")
    assert {(r.sample, r.analyte, r.result.number) for r in reading.readings} == {
        ("Garlic beds", "ph", 6.9), ("Fallow ground", "ph", 5.2),
        ("Garlic beds", "organic_matter", 6.1), ("Fallow ground", "organic_matter", 1.7),
    }  # fmt: skip


def test_pieces_of_level_rules_part_columns() -> None:
    level = [Rule(x0, y, x1, y) for y in (10.0, 30.0) for x0, x1 in ((0.0, 50.0), (50.0, 90.0))]
    assert [round(x) for x, _ in Frame(level).upright] == [0, 50, 90]


def test_a_title_in_a_drawn_cell_of_its_own_heads_the_rows() -> None:
    content = printed(
        [
            ["Exchangeable cations (ammonium acetate)", "", ""],
            ["Cation", "mg/kg", "Desirable"],
            ["Calcium", "1804", "1500-2000"],
            ["Potassium", "454", "200-300"],
        ],
        [("SPAN", (0, 0), (-1, 0))],
    )
    reading = read_bytes(content, "report.pdf")
    found = {(r.analyte, r.result.number, r.method) for r in reading.readings}
    assert found == {("calcium", 1804, "ammonium_acetate"), ("potassium", 454, "ammonium_acetate")}
