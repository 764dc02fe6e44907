"""Reports drawn word by word with ReportLab's canvas: forms, bars, letters, turned pages."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import io
from collections.abc import Callable, Sequence
from typing import Any

from tests.generators.report_common import (
    INCHES_6,
    Bag,
    Made,
    Row,
    bags,
    by_method,
    report,
    soil,
)

NAMES = {
    "ph": "pH", "om": "Organic Matter", "p": "Phosphorus", "k": "Potassium", "ca": "Calcium", "mg": "Magnesium",
    "s": "Sulfur", "zn": "Zinc", "mn": "Manganese", "cu": "Copper", "b": "Boron", "cec": "CEC", "fe": "Iron",
}  # fmt: skip
UNIT = {"ph": "", "om": "%", "cec": "meq/100 g"}
MAIN = ("ph", "om", "p", "k", "ca", "mg", "zn", "b")
WIDTH, HEIGHT = 595.0, 842.0


def unit(key: str) -> str:
    return UNIT.get(key, "ppm")


def drawn(draw: Callable[[Any], None], size: tuple[float, float] = (WIDTH, HEIGHT)) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=size, invariant=1)
    draw(canvas)
    canvas.save()
    return stream.getvalue()


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


@report("pdf-one-sample/sheet-a-page.pdf")
def sheet_a_page() -> Made:
    found = bags(["East", "West", "Middle"], "pdfone", lab="Cropwell Soil Laboratory", depth=INCHES_6)
    found = [
        bag.has(report=f"CW-{n}", sampled_on=f"2021-04-1{n}", basis="sampled") for n, bag in enumerate(found)
    ]

    def draw(c: Any) -> None:
        for bag in found:
            c.setFont("Helvetica-Bold", 14)
            c.drawString(60, 790, "Cropwell Soil Laboratory")
            c.setFont("Helvetica", 10)
            c.drawString(60, 765, f"Report No: {bag.report}")
            c.drawString(330, 765, f"Sample ID: {bag.name}")
            c.drawString(60, 750, f"Date Sampled: {bag.sampled_on}")
            c.drawString(330, 750, "Sample Depth: 0-6 in")
            for x, text in ((60, "Test"), (260, "Result"), (330, "Unit"), (410, "Rating")):
                c.drawString(x, 715, text)
            for n, key in enumerate(MAIN):
                y = 695 - 18 * n
                c.drawString(60, y, NAMES[key])
                c.drawRightString(290, y, bag.values[key])
                c.drawString(330, y, unit(key))
                c.drawString(410, y, ("Low", "Medium", "High")[n % 3])
            c.showPage()

    return drawn(draw), _all(found, MAIN)


@report("pdf-bars/rating-bars.pdf")
def bars() -> Made:
    [bag] = bags(["Strawberry rows"], "pdfbars", sampled_on="2022-08-30", basis="sampled")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 9)
        c.drawString(50, 800, "Soil test report")
        c.drawString(50, 780, "Sample: Strawberry rows")
        c.drawString(300, 780, "Date sampled: August 30, 2022")
        for x, text in (
            (50, "Nutrient"),
            (170, "Result"),
            (230, "Low"),
            (320, "Medium"),
            (420, "High"),
            (500, "Class"),
        ):
            c.drawString(x, 750, text)
        for n, key in enumerate(MAIN):
            y = 732 - 16 * n
            c.drawString(50, y, f"{NAMES[key]} ({unit(key)})" if unit(key) else NAMES[key])
            c.drawRightString(200, y, bag.values[key])
            c.rect(230, y, 60 + 25 * n, 7, fill=1)
            c.drawString(505, y, "LMHV"[n % 4])
        c.showPage()

    return drawn(draw), _all([bag], MAIN)


@report("pdf-boxes/result-boxes.pdf")
def boxes() -> Made:
    [bag] = bags(
        ["Plum terrace"],
        "pdfboxes",
        sampled_on="2020-10-21",
        basis="sampled",
        lab="Sorrel Testing Laboratory",
    )

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 11)
        c.drawString(50, 800, "Sorrel Testing Laboratory")
        c.drawString(50, 780, "Sample name: Plum terrace")
        c.drawString(50, 765, "Sampled: 21 October 2020")
        for n, key in enumerate(MAIN):
            x, y = 50 + 130 * (n % 4), 700 - 70 * (n // 4)
            c.rect(x, y - 28, 120, 45)
            c.setFont("Helvetica", 8)
            c.drawString(x + 4, y + 6, f"{NAMES[key]} ({unit(key)})" if unit(key) else NAMES[key])
            c.setFont("Helvetica-Bold", 13)
            c.drawString(x + 30, y - 18, bag.values[key])
        c.showPage()

    return drawn(draw), _all([bag], MAIN)


@report("pdf-form/fillable-fields.pdf")
def fields() -> Made:
    [bag] = bags(["Herb spiral"], "pdfform", sampled_on="2023-06-01", basis="sampled")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 10)
        c.drawString(50, 800, "Soil test form")
        told = (("Sample ID:", "Herb spiral"), ("Date sampled:", "2023-06-01"))
        texts = [
            *told,
            *((f"{NAMES[key]} ({unit(key)})" if unit(key) else NAMES[key], bag.values[key]) for key in MAIN),
        ]
        for n, (name, text) in enumerate(texts):
            y = 760 - 26 * n
            c.drawString(50, y, name)
            c.acroForm.textfield(
                name=f"field{n}", value=text, x=200, y=y - 6, width=120, height=18, fontSize=10, borderWidth=1
            )
        c.showPage()

    return drawn(draw), _all([bag], MAIN)


@report("pdf-cover-letter/letter-first.pdf")
def letter() -> Made:
    found = bags(
        ["G1", "G2"],
        "pdfletter",
        sampled_on="2021-03-03",
        basis="sampled",
        report="5521",
        lab="Pellworth Laboratory",
    )
    keys = ("ph", "om", "p", "k", "mg")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 11)
        lines = (
            "Pellworth Laboratory", "", "Dear grower,", "",
            "thank you for sending 2 samples. Your pH of 5 years ago was 6.1 and phosphorus was 40 ppm.",
            "Most vegetables like a pH between 6.0 and 7.0, and 3 to 6 % organic matter.",
            "We advise 20 t/ha of compost in the next 2 years. The invoice follows by post.", "", "Yours sincerely", "M. Pell",
        )  # fmt: skip
        for n, line in enumerate(lines):
            c.drawString(60, 780 - 16 * n, line)
        c.showPage()
        c.setFont("Helvetica", 10)
        c.drawString(60, 790, "Report No: 5521")
        c.drawString(260, 790, "Sampled: 3 March 2021")
        _table(
            c,
            ["Sample", "pH", "OM %", "P ppm", "K ppm", "Mg ppm"],
            [[b.name, *(b.values[k] for k in keys)] for b in found],
            740,
        )
        c.showPage()

    return drawn(draw), _all(found, keys)


def _table(
    c: Any,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    top: float,
    left: float = 60,
    step: float = 70,
) -> None:
    for line, cells in enumerate([heads, *rows]):
        for column, text in enumerate(cells):
            c.drawString(left + step * column, top - 16 * line, text)


@report("pdf-tiny/tiny-type.pdf")
def tiny() -> Made:
    found = bags([f"T{n}" for n in range(1, 31)], "pdftiny", sampled_on="2022-11-11", basis="sampled")
    keys = (*MAIN, "s", "mn", "cu", "fe", "cec")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 4.5)
        c.drawString(40, 820, "Sampled: 2022-11-11")
        heads = [
            "Sample",
            *(
                f"{'OM' if key == 'om' else 'CEC' if key == 'cec' else SYMBOL[key]} {unit(key)}".strip()
                for key in keys
            ),
        ]
        for line, cells in enumerate([heads, *([b.name, *(b.values[k] for k in keys)] for b in found)]):
            for column, text in enumerate(cells):
                c.drawRightString(60 + 38 * column, 800 - 6.5 * line, text)
        c.showPage()

    return drawn(draw), _all(found, keys)


SYMBOL = {
    "ph": "pH",
    "p": "P",
    "k": "K",
    "ca": "Ca",
    "mg": "Mg",
    "s": "S",
    "zn": "Zn",
    "mn": "Mn",
    "cu": "Cu",
    "b": "B",
    "fe": "Fe",
}


@report("pdf-letters/placed-one-by-one.pdf")
def letters() -> Made:
    found = bags(["Cedar", "Maple"], "pdfletters", sampled_on="2019-09-09", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 10)
        rows = [
            ["Sample", "pH", "OM %", "P ppm", "K ppm", "Ca ppm"],
            *([b.name, *(b.values[k] for k in keys)] for b in found),
        ]
        _spell(c, 60, 780, "Sampled: 2019-09-09")
        for line, cells in enumerate(rows):
            for column, text in enumerate(cells):
                _spell(c, 60 + 80 * column, 740 - 16 * line, text)
        c.showPage()

    return drawn(draw), _all(found, keys)


def _spell(c: Any, x: float, y: float, text: str) -> None:
    for letter in text:
        if letter != " ":
            c.drawString(x, y, letter)
        x += c.stringWidth(letter) + 0.15


@report("pdf-stacked/header-over-two-lines.pdf")
def stacked() -> Made:
    found = bags(
        ["K1", "K2", "K3"],
        "pdfstacked",
        depth=("0", "20"),
        lab="Amberwick Laboratories",
        items=by_method(p="olsen"),
    )
    keys = ("ph", "om", "p", "k", "cec", "zn")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 10)
        c.drawString(60, 800, "Amberwick Laboratories")
        c.drawString(60, 780, "Depth: 0-20 cm")
        tops = ["Sample", "Soil", "Organic", "Olsen", "Exch.", "", "DTPA"]
        names = ["ID", "pH", "Matter", "P", "K", "CEC", "Zn"]
        units = ["", "", "%", "mg/kg", "mg/kg", "meq/100g", "mg/kg"]
        _table(c, tops, [names, units, *([b.name, *(b.values[k] for k in keys)] for b in found)], 750)
        c.showPage()

    found = [bag.has(items=by_method(p="olsen", zn="dtpa")) for bag in found]
    return drawn(draw), _all(found, keys)


@report("pdf-history/years-on-one-page.pdf")
def history() -> Made:
    days = ("2019-04-02", "2021-04-06", "2023-04-04")
    found = [Bag("Long border", soil(f"pdfhistory/{day}"), day, "sampled") for day in days]
    keys = ("ph", "om", "p", "k", "mg")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 10)
        c.drawString(60, 800, "Soil test history")
        c.drawString(60, 780, "Sample: Long border")
        _table(
            c,
            ["Date sampled", "pH", "OM %", "P ppm", "K ppm", "Mg ppm"],
            [[b.sampled_on, *(b.values[k] for k in keys)] for b in found],
            740,
            step=80,
        )
        c.showPage()

    return drawn(draw), _all(found, keys)


@report("pdf-landscape/upright-headings.pdf")
def upright() -> Made:
    found = bags([f"Row {n}" for n in range(1, 9)], "pdfupright", sampled_on="2022-04-20", basis="sampled")
    keys = ("ph", "om", "cec", "p", "k", "ca", "mg", "s", "zn", "mn", "cu", "fe", "b")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 9)
        c.drawString(40, 560, "Sampled: 20 April 2022")
        c.drawString(40, 452, "Sample")
        for column, key in enumerate(keys):
            c.saveState()
            c.translate(118 + 52 * column, 452)
            c.rotate(90)
            c.drawString(0, 0, f"{NAMES[key]} ({unit(key)})" if unit(key) else NAMES[key])
            c.restoreState()
        for line, bag in enumerate(found):
            c.drawString(40, 430 - 15 * line, bag.name)
            for column, key in enumerate(keys):
                c.drawRightString(125 + 52 * column, 430 - 15 * line, bag.values[key])
        c.showPage()

    return drawn(draw, (842, 595)), _all(found, keys)


def _turned(angle: int, name: str) -> tuple[bytes, list[Bag]]:
    found = bags(["Turned 1", "Turned 2"], name, sampled_on="2021-05-05", basis="sampled")
    keys = ("ph", "om", "p", "k", "mg")

    def draw(c: Any) -> None:
        if angle == 90:
            c.translate(WIDTH, 0)
        elif angle == 270:
            c.translate(0, HEIGHT)
        c.rotate(angle)
        c.setFont("Helvetica", 10)
        c.drawString(60, 540, "Sampled: 5 May 2021")
        _table(
            c,
            ["Sample", "pH", "OM %", "P ppm", "K ppm", "Mg ppm"],
            [[b.name, *(b.values[k] for k in keys)] for b in found],
            500,
            step=90,
        )
        c.showPage()

    return drawn(draw), found


@report("pdf-rotated/drawn-turned-left.pdf")
def turned_left() -> Made:
    content, found = _turned(90, "pdfleft")
    return content, _all(found, ("ph", "om", "p", "k", "mg"))


@report("pdf-rotated/drawn-turned-right.pdf")
def turned_right() -> Made:
    content, found = _turned(270, "pdfright")
    return content, _all(found, ("ph", "om", "p", "k", "mg"))


@report("pdf-rotated/page-rotate-90.pdf")
def page_rotate() -> Made:
    found = bags(["Rot 1", "Rot 2"], "pdfrotate", sampled_on="2020-06-15", basis="sampled")
    keys = ("ph", "om", "p", "k", "mg")

    def draw(c: Any) -> None:
        c.setPageRotation(90)
        c.translate(WIDTH, 0)
        c.rotate(90)
        c.setFont("Helvetica", 10)
        c.drawString(60, 540, "Sampled: 15 June 2020")
        _table(
            c,
            ["Sample", "pH", "OM %", "P ppm", "K ppm", "Mg ppm"],
            [[b.name, *(b.values[k] for k in keys)] for b in found],
            500,
            step=90,
        )
        c.showPage()

    return drawn(draw), _all(found, keys)


@report("pdf-two-columns/two-samples-abreast.pdf")
def abreast() -> Made:
    found = bags(["Left garden", "Right garden"], "pdfabreast", sampled_on="2023-10-02", basis="sampled")

    def draw(c: Any) -> None:
        c.setFont("Helvetica", 10)
        c.drawString(50, 800, "Date sampled: 2 October 2023")
        for left, bag in zip((50, 320), found, strict=True):
            c.drawString(left, 770, f"Sample: {bag.name}")
            for n, key in enumerate(MAIN):
                c.drawString(left, 745 - 16 * n, NAMES[key])
                c.drawRightString(left + 140, 745 - 16 * n, bag.values[key])
                c.drawString(left + 150, 745 - 16 * n, unit(key))
        c.showPage()

    return drawn(draw), _all(found, MAIN)


@report("pdf-two-pages/sample-over-two-pages.pdf")
def two_pages() -> Made:
    [bag] = bags(
        ["Polytunnel 2"],
        "pdftwopages",
        sampled_on="2022-01-19",
        basis="sampled",
        lab="Hazelmoor Soil Laboratory",
        report="H-77",
    )
    first, second = ("ph", "om", "p", "k"), ("ca", "mg", "zn", "b", "cec")

    def draw(c: Any) -> None:
        for page, keys in enumerate((first, second), start=1):
            c.setFont("Helvetica", 10)
            if page == 1:
                c.drawString(60, 800, "Hazelmoor Soil Laboratory")
                c.drawString(60, 780, "Report No: H-77")
                c.drawString(60, 765, "Sample: Polytunnel 2")
                c.drawString(60, 750, "Date sampled: 19 January 2022")
            for n, key in enumerate(keys):
                c.drawString(60, 715 - 18 * n, NAMES[key])
                c.drawRightString(250, 715 - 18 * n, bag.values[key])
                c.drawString(270, 715 - 18 * n, unit(key))
            c.drawString(270, 40, f"Page {page} of 2")
            c.showPage()

    return drawn(draw), _all([bag], (*first, *second))
