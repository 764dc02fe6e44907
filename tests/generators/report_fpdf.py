"""Reports written with fpdf2: tables, key-and-value sheets, a matrix, in four languages."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from tests.generators.report_common import PPM, Bag, Item, Made, Row, bags, by_method, comma, items, report


def _pdf(landscape: bool = False) -> Any:
    from fpdf import FPDF

    pdf = FPDF(orientation="L" if landscape else "P")
    pdf.set_creation_date(datetime(2024, 1, 1, tzinfo=UTC))
    pdf.add_page()
    pdf.set_font("Helvetica", size=10)
    return pdf


def _lines(pdf: Any, *lines: str) -> None:
    for line in lines:
        pdf.cell(0, 6, line, new_x="LMARGIN", new_y="NEXT")


def _grid(
    pdf: Any, rows: Sequence[Sequence[str]], widths: Sequence[float], border: int = 1, align: str = "L"
) -> None:
    for row in rows:
        for text, width in zip(row, widths, strict=True):
            pdf.cell(width, 7, text, border=border, align=align)
        pdf.ln()


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


@report("pdf-fpdf/bordered-cells.pdf")
def bordered() -> Made:
    found = bags(
        ["Zone 1", "Zone 2"],
        "fpdfbordered",
        sampled_on="2022-06-07",
        basis="sampled",
        lab="Thornby Soil Lab",
        report="TB-8",
    )
    keys = ("ph", "om", "p", "k", "ca", "mg")
    pdf = _pdf()
    _lines(pdf, "Thornby Soil Lab", "Report number: TB-8", "Date collected: 7 June 2022", "")
    _grid(
        pdf,
        [
            ["Sample", "pH", "OM (%)", "P (ppm)", "K (ppm)", "Ca (ppm)", "Mg (ppm)"],
            *([b.name, *(b.values[k] for k in keys)] for b in found),
        ],
        [26] * 7,
    )
    return bytes(pdf.output()), _all(found, keys)


@report("pdf-fpdf/key-and-value.pdf")
def key_value() -> Made:
    [bag] = bags(
        ["Sunken bed"],
        "fpdfkeys",
        sampled_on="2021-08-12",
        basis="sampled",
        items=by_method(p="mehlich_3", k="mehlich_3"),
    )
    v = bag.values
    pdf = _pdf()
    _lines(pdf, "Soil test", "Sample ID: Sunken bed", "Collected: 12 August 2021", "", f"pH: {v['ph']}", f"Organic Matter: {v['om']} %",
           f"Phosphorus (Mehlich 3): {v['p']} ppm", f"Potassium (Mehlich 3): {v['k']} ppm", f"CEC: {v['cec']} meq/100 g")  # fmt: skip
    return bytes(pdf.output()), bag.rows(("ph", "om", "p", "k", "cec"))


@report("pdf-languages/german-pruefbericht.pdf")
def german() -> Made:
    oxide = items(
        ph=Item("ph", method="cacl2"), p=Item("phosphorus", "mg/(100.g)", "P2O5", "cal"),
        k=Item("potassium", "mg/(100.g)", "K2O", "cal"), mg=Item("magnesium", "mg/(100.g)", "", "cacl2"),
    )  # fmt: skip
    found = bags(
        ["Gewächshaus", "Freiland"],
        "fpdfgerman",
        sampled_on="2022-03-02",
        basis="sampled",
        lab="Bodenlabor Eschenried",
        report="4711",
        depth=("0", "30"),
        items=oxide,
    )
    keys = ("ph", "p", "k", "mg", "om")
    pdf = _pdf()
    _lines(
        pdf, "Bodenlabor Eschenried", "Prüfbericht Nr. 4711", "Probenahme: 02.03.2022", "Tiefe: 0-30 cm", ""
    )
    heads = ["Probe", "pH (CaCl2)", "P2O5 (CAL)", "GK", "K2O (CAL)", "GK", "Mg (CaCl2)", "Humus"]
    units = ["", "", "mg/100 g", "", "mg/100 g", "", "mg/100 g", "%"]
    rows = []
    for bag in found:
        v = comma(bag.values)
        rows.append([bag.name, v["ph"], v["p"], "C", v["k"], "D", v["mg"], v["om"]])
    _grid(pdf, [heads, units, *rows], [28, 24, 24, 12, 24, 12, 26, 20])
    return bytes(pdf.output()), _all(found, keys)


@report("pdf-languages/french-analyse.pdf")
def french() -> Made:
    oxide = items(
        ph=Item("ph", method="water"),
        p=Item("phosphorus", PPM, "P2O5", "joret_hebert"),
        k=Item("potassium", PPM, "K2O"),
        mg=Item("magnesium", PPM, "MgO"),
    )
    [bag] = bags(
        ["Serre 2"],
        "fpdffrench",
        sampled_on="2023-01-24",
        basis="sampled",
        lab="Laboratoire des Tilleuls",
        items=oxide,
    )
    v = comma(bag.values)
    pdf = _pdf()
    _lines(
        pdf,
        "Laboratoire des Tilleuls",
        "Analyse de terre",
        "Échantillon : Serre 2",
        "Prélevé le : 24/01/2023",
        "",
    )
    rows = [["Analyse", "Résultat", "Unité", "Valeur souhaitable"], ["pH eau", v["ph"], "", "6,5 à 7,5"], ["Matière organique", v["om"], "%", "2 à 4"],
            ["P2O5 Joret-Hébert", v["p"], "mg/kg", "150 à 250"], ["K2O échangeable", v["k"], "mg/kg", "150 à 300"], ["MgO échangeable", v["mg"], "mg/kg", "100 à 200"], ["CEC", v["cec"], "meq/100 g", ""]]  # fmt: skip
    _grid(pdf, rows, [60, 30, 30, 50])
    return bytes(pdf.output()), bag.rows(("ph", "om", "p", "k", "mg", "cec"))


@report("pdf-languages/spanish-informe.pdf")
def spanish() -> Made:
    found = bags(
        ["Huerto 1", "Huerto 2"],
        "fpdfspanish",
        sampled_on="2022-05-30",
        basis="sampled",
        lab="Laboratorio Peña Clara",
        items=by_method(p="olsen"),
    )
    keys = ("ph", "ec", "om", "p", "k", "cec")
    pdf = _pdf(landscape=True)
    _lines(pdf, "Laboratorio Peña Clara", "Análisis de suelo", "Fecha de muestreo: 30/05/2022", "")
    heads = [
        "Muestra",
        "pH",
        "CE (dS/m)",
        "Materia orgánica (%)",
        "P Olsen (mg/kg)",
        "K (mg/kg)",
        "CIC (meq/100 g)",
    ]
    _grid(
        pdf,
        [heads, *([b.name, *(comma(b.values)[k] for k in keys)] for b in found)],
        [30, 20, 30, 45, 40, 30, 40],
    )
    return bytes(pdf.output()), _all(found, keys)


@report("pdf-fpdf/analytes-down-samples-across.pdf")
def matrix() -> Made:
    found = bags(["101", "102", "103", "104"], "fpdfmatrix", sampled_on="2020-09-29", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca", "mg", "s", "zn")
    names = {
        "ph": "pH",
        "om": "Organic matter, %",
        "p": "P, ppm",
        "k": "K, ppm",
        "ca": "Ca, ppm",
        "mg": "Mg, ppm",
        "s": "S, ppm",
        "zn": "Zn, ppm",
    }
    pdf = _pdf()
    _lines(pdf, "Soil analysis", "Date sampled: 29 September 2020", "")
    rows = [
        ["Sample", *(bag.name for bag in found)],
        *([names[k], *(b.values[k] for b in found)] for k in keys),
    ]
    _grid(pdf, rows, [50, 25, 25, 25, 25], border=0)
    return bytes(pdf.output()), _all(found, keys)


@report("pdf-fpdf/base-saturation-block.pdf")
def saturation() -> Made:
    [bag] = bags(["Rose bank"], "fpdfsaturation", sampled_on="2019-03-27", basis="sampled")
    v = bag.values
    keys = ("ph", "cec", "k", "mg", "ca", "sat_k", "sat_mg", "sat_ca", "sat_h", "sat_na")
    pdf = _pdf()
    _lines(pdf, "Soil test report", "Sample: Rose bank", "Sampled: 27 March 2019", "")
    _grid(
        pdf,
        [
            ["pH", v["ph"], ""],
            ["CEC", v["cec"], "meq/100g"],
            ["Potassium", v["k"], "ppm"],
            ["Magnesium", v["mg"], "ppm"],
            ["Calcium", v["ca"], "ppm"],
        ],
        [50, 30, 30],
        border=0,
    )
    _lines(pdf, "", "Percent base saturation")
    _grid(
        pdf,
        [
            ["K", v["sat_k"], "%"],
            ["Mg", v["sat_mg"], "%"],
            ["Ca", v["sat_ca"], "%"],
            ["H", v["sat_h"], "%"],
            ["Na", v["sat_na"], "%"],
        ],
        [50, 30, 30],
        border=0,
    )
    return bytes(pdf.output()), bag.rows(keys)
