"""Reports set with ReportLab's Platypus: ruled and unruled tables, tables that go on over pages."""

import io
from collections.abc import Sequence
from typing import Any

from tests.generators.report_common import INCHES_6, Bag, Made, Row, bags, by_method, report, soil

KEYS = ("ph", "om", "p", "k", "ca", "mg", "cec")
HEADS = ["Sample", "pH", "OM %", "P ppm", "K ppm", "Ca ppm", "Mg ppm", "CEC meq/100g"]


def _built(story: Sequence[Any], size: tuple[float, float] = (595, 842)) -> bytes:
    from reportlab.platypus import SimpleDocTemplate

    stream = io.BytesIO()
    SimpleDocTemplate(stream, pagesize=size, invariant=1).build(list(story))
    return stream.getvalue()


def _text(text: str) -> Any:
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Paragraph

    return Paragraph(text, getSampleStyleSheet()["BodyText"])


def _table(rows: Sequence[Sequence[Any]], style: Sequence[Any] = (), **more: Any) -> Any:
    from reportlab.platypus import Table

    return Table([list(row) for row in rows], style=list(style), **more)


RULED = [("GRID", (0, 0), (-1, -1), 0.5, (0, 0, 0)), ("FONTSIZE", (0, 0), (-1, -1), 8)]


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


def _cells(found: Sequence[Bag], keys: Sequence[str] = KEYS) -> list[list[str]]:
    return [[bag.name, *(bag.values[key] for key in keys)] for bag in found]


@report("pdf-ruled/ruled-table.pdf")
def ruled() -> Made:
    found = bags(
        ["Bed 1", "Bed 2", "Bed 3"],
        "platruled",
        sampled_on="2021-10-18",
        basis="sampled",
        lab="Winterholt Laboratory",
        report="W-1009",
    )
    story = [
        _text("Winterholt Laboratory"),
        _text("Report No: W-1009"),
        _text("Date sampled: 18 October 2021"),
        _table([HEADS, *_cells(found)], RULED),
    ]
    return _built(story), _all(found, KEYS)


@report("pdf-unruled/unruled-table.pdf")
def unruled() -> Made:
    found = bags(["Upper", "Lower", "Side"], "platunruled", sampled_on="2021-10-18", basis="sampled")
    story = [_text("Date sampled: 18 October 2021"), _table([HEADS, *_cells(found)])]
    return _built(story), _all(found, KEYS)


@report("pdf-continued/header-repeated.pdf")
def repeated() -> Made:
    found = bags(
        [f"C{n:02d}" for n in range(1, 61)],
        "platrepeated",
        sampled_on="2022-03-14",
        basis="sampled",
        lab="Fennick Soil Lab",
    )
    story = [
        _text("Fennick Soil Lab"),
        _text("Sampled: 14 March 2022"),
        _table([HEADS, *_cells(found)], RULED, repeatRows=1),
    ]
    return _built(story), _all(found, KEYS)


@report("pdf-continued/header-once.pdf")
def once() -> Made:
    found = bags(
        [f"D{n:02d}" for n in range(1, 51)],
        "platonce",
        sampled_on="2022-03-15",
        basis="sampled",
        lab="Fennick Soil Lab",
    )
    story = [
        _text("Fennick Soil Lab"),
        _text("Sampled: 15 March 2022"),
        _table([HEADS, *_cells(found)], RULED),
    ]
    return _built(story), _all(found, KEYS)


@report("pdf-several/two-samples-a-page.pdf")
def two_a_page() -> Made:
    from reportlab.platypus import PageBreak

    found = bags(["S1", "S2", "S3", "S4"], "plattwo", depth=INCHES_6)
    found = [
        bag.has(sampled_on=f"2023-03-0{n}", basis="sampled", report=f"R{n}")
        for n, bag in enumerate(found, start=1)
    ]
    names = {
        "ph": ("pH", ""),
        "om": ("Organic Matter", "%"),
        "p": ("Phosphorus", "ppm"),
        "k": ("Potassium", "ppm"),
        "mg": ("Magnesium", "ppm"),
    }
    story: list[Any] = []
    for n, bag in enumerate(found):
        rows = [["Test", "Result", "Unit", "Optimum"]]
        rows += [[names[key][0], bag.values[key], names[key][1], "100 - 200"] for key in names]
        story += [
            _text(f"Report No: {bag.report}"),
            _text(f"Sample ID: {bag.name}"),
            _text(f"Date sampled: {bag.sampled_on}"),
            _text("Depth: 0-6 in"),
            _table(rows, RULED),
        ]
        if n % 2:
            story.append(PageBreak())
    return _built(story), _all(found, tuple(names))


@report("pdf-grouped/group-headings.pdf")
def grouped() -> Made:
    found = bags(
        ["M1", "M2", "M3"],
        "platgrouped",
        items=by_method(p="mehlich_3", k="mehlich_3", ca="mehlich_3", mg="mehlich_3"),
    )
    keys = ("ph", "cec", "p", "k", "ca", "mg", "sat_ca", "sat_mg", "sat_k", "sat_na", "sat_h")
    rows = [
        ["", "", "CEC", "Mehlich-3, ppm", "", "", "", "Base saturation, %", "", "", "", ""],
        ["Sample", "pH", "meq/100g", "P", "K", "Ca", "Mg", "Ca", "Mg", "K", "Na", "H"],
    ]
    style = [
        *RULED,
        ("SPAN", (3, 0), (6, 0)),
        ("SPAN", (7, 0), (11, 0)),
        ("ALIGN", (0, 0), (-1, -1), "CENTER"),
    ]
    return _built([_table([*rows, *_cells(found, keys)], style)]), _all(found, keys)


@report("pdf-optimum/ranges-and-ratings.pdf")
def optimum() -> Made:
    [bag] = bags(["Quince"], "platoptimum", sampled_on="2020-02-24", basis="sampled")
    v = bag.values
    rows = [
        ["Analysis", "Method", "Your result", "Unit", "Optimum", "Rating"],
        ["pH", "1:1 water", v["ph"], "", "6.0-7.0", "Good"],
        ["Organic matter", "LOI", v["om"], "%", "3-6", "High"],
        ["Phosphorus", "Bray P1", v["p"], "ppm", "20-40", "Very high"],
        ["Potassium", "NH4OAc", v["k"], "ppm", "120-200", "Medium"],
        ["Zinc", "DTPA", v["zn"], "ppm", "1-5", "OK"],
    ]  # fmt: skip
    methods = by_method(ph="water_1_1", om="loss_on_ignition", p="bray_p1", k="ammonium_acetate", zn="dtpa")
    story = [
        _text("Soil analysis"),
        _text("Sample: Quince"),
        _text("Sampled on 24 February 2020"),
        _table(rows, RULED),
    ]
    return _built(story), _all([bag.has(items=methods)], ("ph", "om", "p", "k", "zn"))


@report("pdf-rates/results-and-rates.pdf")
def rates() -> Made:
    found = bags(["Pea bed", "Leek bed"], "platrates", sampled_on="2022-09-19", basis="sampled")
    keys = ("ph", "om", "p", "k")
    heads = ["Sample", "pH", "OM %", "P ppm", "K ppm"]
    advice = [
        ["Sample", "N", "P2O5", "K2O", "Lime"],
        *[[bag.name, "3.0", "0.5", "1.5", "25"] for bag in found],
    ]
    story = [
        _text("Date sampled: 19 September 2022"),
        _table([heads, *_cells(found, keys)], RULED),
        _text("Recommended rates, lb per 1000 sq ft"),
        _table(advice, RULED),
    ]
    return _built(story), _all(found, keys)


@report("pdf-previous/this-year-and-last.pdf")
def previous() -> Made:
    [bag] = bags(["Melon frame"], "platprevious", sampled_on="2024-03-04", basis="sampled")
    old = soil("platprevious/old")
    names = {
        "ph": ("pH", ""),
        "om": ("Organic matter", "%"),
        "p": ("Phosphorus", "mg/kg"),
        "k": ("Potassium", "mg/kg"),
        "mg": ("Magnesium", "mg/kg"),
    }
    rows = [["Test", "Unit", "This year", "Last year", "Change"]]
    rows += [[names[key][0], names[key][1], bag.values[key], old[key], "+1.0"] for key in names]
    story = [
        _text("Soil analysis"),
        _text("Sample: Melon frame"),
        _text("Date sampled: 4 March 2024"),
        _table(rows, RULED),
    ]
    return _built(story), _all([bag], tuple(names))


@report("pdf-spill/long-names-beside-numbers.pdf")
def spill() -> Made:
    found = bags(
        ["Greenhouse East", "Greenhouse West"], "platspill", sampled_on="2023-02-02", basis="sampled"
    )
    keys = ("ph", "om", "p", "k")
    heads = ["Sample", "pH", "OM %", "P ppm", "K ppm"]
    table = _table(
        [heads, *_cells(found, keys)],
        [("FONTSIZE", (0, 0), (-1, -1), 10), ("LEFTPADDING", (0, 0), (-1, -1), 0)],
        colWidths=[79.6, 60, 60, 60, 60],
    )
    return _built([_text("Date sampled: 2 February 2023"), table]), _all(found, keys)
