"""Headings and names that run over several lines of a drawn table come together again."""

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.colors import black
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from soiltrend.layout.joining import joined
from tests.layout.bytes_of import read_bytes

STYLE = getSampleStyleSheet()["Normal"]
HEADS = {
    "ph": "Soil<br/>pH",
    "buffer_ph": "Buffer<br/>pH",
    "organic_matter": "Organic<br/>Matter<br/>%",
    "phosphorus": "Phosphorus<br/>ppm",
    "potassium": "POTAS-<br/>SIUM<br/>ppm",
    "cec": "C.E.C.<br/>meq/<br/>100g",
}
NAMES = {
    "Creek bottom": "Creek bottom",
    "Home field by the old silo": "Home field by<br/>the old silo",
    "High tunnel 2 (north side)": "High tunnel 2<br/>(north side)",
    "Pumpkin patch and U-pick flowers": "Pumpkin<br/>patch and<br/>U-pick flowers",
    "Alfalfa": "Alfalfa",
}


def page(
    analytes: list[str], names: list[str], align: str, grid: bool
) -> tuple[bytes, dict[tuple[str, str], float]]:
    """Print a table; return it and what it says."""
    truth = {
        (name, analyte): round(5 + 0.1 * (len(names) * column + row), 1)
        for row, name in enumerate(names)
        for column, analyte in enumerate(analytes)
    }
    head = ["Sample<br/>identification", *(HEADS[analyte] for analyte in analytes)]
    rows = [[NAMES[name], *(str(truth[name, analyte]) for analyte in analytes)] for name in names]
    cells = [[Paragraph(text, STYLE) for text in row] for row in [head, *rows]]
    looks = [("VALIGN", (0, 0), (-1, -1), align), *([("GRID", (0, 0), (-1, -1), 0.5, black)] if grid else [])]
    stream = io.BytesIO()
    table = Table(cells, colWidths=[110, *([62] * len(analytes))], style=looks)
    SimpleDocTemplate(stream).build([Paragraph("Soil test", STYLE), table])
    return stream.getvalue(), truth


@settings(deadline=None, max_examples=40)
@given(
    analytes=st.lists(st.sampled_from(sorted(HEADS)), min_size=2, max_size=6, unique=True),
    names=st.lists(st.sampled_from(sorted(NAMES)), min_size=2, max_size=5, unique=True),
    align=st.sampled_from(["TOP", "MIDDLE", "BOTTOM"]),
    grid=st.booleans(),
)
def test_any_such_table_reads_back(analytes: list[str], names: list[str], align: str, grid: bool) -> None:
    content, truth = page(analytes, names, align, grid)
    readings = read_bytes(content, "report.pdf").readings
    assert {(r.sample, r.analyte): r.result.number for r in readings} == truth


@pytest.mark.parametrize(
    ("upper", "lower", "whole"),
    [
        ("PHOS-", "PHORUS", "PHOSPHORUS"), ("Phos-", "phorus", "Phosphorus"), ("NO3-", "N", "NO3-N"),
        ("(KCl-", "40)", "(KCl-40)"), ("meq/", "100g", "meq/100g"),
        ("Parcela 14 -", "Olivar", "Parcela 14 - Olivar"),
        ("Soil", "pH", "Soil pH"), ("Phosphoru", "s ppm", "Phosphorus ppm"),
    ],
)  # fmt: skip
def test_two_lines_of_one_cell(upper: str, lower: str, whole: str) -> None:
    assert joined(upper, lower) == whole


def test_a_group_over_several_headings_stays_a_group() -> None:
    text = (
        "Soil test\n"
        "                              Percent base saturation\n"
        "Sample      pH     CEC         K      Mg     Ca\n"
        "                 meq/100g\n"
        "Bed 1      6.4    12.0        3.1   12.0   70.0\n"
        "Bed 2      6.1    11.0        2.9   13.0   68.0\n"
    )
    found = {r.analyte for r in read_bytes(text.encode(), "report.txt").readings}
    assert found == {"ph", "cec", "base_saturation_k", "base_saturation_mg", "base_saturation_ca"}


def test_a_unit_between_dashes_belongs_to_all_names_it_spans() -> None:
    text = (
        "Soil test\n"
        "  Sample    Soil   Phos-    Potas-    Calcium\n"
        "            pH     phorus   sium\n"
        "                   ------- lbs/acre ---------\n"
        "  Field 1   6.1    114 H    120 M     1716 H\n"
        "  Field 2   5.7    116 H    130 M     1406 H\n"
    )
    units = {r.analyte: r.unit for r in read_bytes(text.encode(), "report.txt").readings}
    assert units == {"ph": "", "phosphorus": "lb/acre", "potassium": "lb/acre", "calcium": "lb/acre"}


@pytest.mark.parametrize("width", [45, 60, 75, 90])
def test_a_group_centred_over_cations_counts_for_all_without_rules(width: int) -> None:
    rows = [
        ["", "", "Percent base saturation", "", ""],
        ["Sample", "pH", "K", "Mg", "Ca"],
        ["Bed 1", "6.4", "3.1", "12.0", "70.0"],
        ["Bed 2", "6.1", "2.9", "13.0", "68.0"],
    ]
    stream = io.BytesIO()
    looks = [("SPAN", (2, 0), (4, 0)), ("ALIGN", (0, 0), (-1, -1), "CENTER")]
    SimpleDocTemplate(stream).build(
        [Paragraph("Soil test", STYLE), Table(rows, colWidths=[width] * 5, style=looks)]
    )
    found = {r.analyte for r in read_bytes(stream.getvalue(), "report.pdf").readings}
    assert found == {"ph", "base_saturation_k", "base_saturation_mg", "base_saturation_ca"}
