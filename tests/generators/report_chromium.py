"""Reports as web pages that Chromium prints to PDF."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import subprocess
import tempfile
from collections.abc import Sequence
from html import escape
from pathlib import Path

from tests.generators.report_common import INCHES_6, LB, Bag, Item, Made, Row, bags, by_method, items, report

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-pdf-header-footer",
)  # fmt: skip


def printed(body: str, style: str = "") -> bytes:
    """Return the PDF that Chromium prints of a page with this body."""
    page = f"<!doctype html><meta charset=utf-8><style>body{{font:11px sans-serif}}{style}</style>{body}"
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "report.html"), Path(folder, "report.pdf")
        source.write_text(page, encoding="utf-8")
        subprocess.run(
            ["/usr/bin/chromium", *FLAGS, f"--user-data-dir={folder}/profile", f"--print-to-pdf={target}", source.as_uri()],
            check=True, capture_output=True, timeout=120,
        )  # fmt: skip
        return target.read_bytes()


def rows_html(rows: Sequence[Sequence[str]], tag: str = "td") -> str:
    return "".join(
        "<tr>" + "".join(f"<{tag}>{escape(text)}</{tag}>" for text in row) + "</tr>" for row in rows
    )


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


RULES = "table{border-collapse:collapse}td,th{border:1px solid #444;padding:3px 8px;text-align:left}"


@report("pdf-web/ruled-wide.pdf")
def ruled() -> Made:
    found = bags(
        ["Bed 11", "Bed 12", "Bed 13"],
        "webruled",
        sampled_on="2023-04-24",
        basis="sampled",
        lab="Glenroe Soil Laboratory",
        report="GR/23/118",
    )
    keys = ("ph", "om", "p", "k", "mg", "b")
    head = rows_html(
        [["Sample name", "pH", "Organic matter (%)", "P (mg/kg)", "K (mg/kg)", "Mg (mg/kg)", "B (mg/kg)"]],
        "th",
    )
    body = "<h1>Glenroe Soil Laboratory</h1><p>Report number: GR/23/118</p><p>Date sampled: 24 April 2023</p>"
    return printed(
        f"{body}<table>{head}{rows_html([[b.name, *(b.values[k] for k in keys)] for b in found])}</table>",
        RULES,
    ), _all(found, keys)


@report("pdf-web/cards.pdf")
def cards() -> Made:
    found = bags(["Card A", "Card B"], "webcards", sampled_on="2022-07-11", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca")
    names = {
        "ph": ("pH", ""),
        "om": ("Organic matter", "%"),
        "p": ("Phosphorus", "ppm"),
        "k": ("Potassium", "ppm"),
        "ca": ("Calcium", "ppm"),
    }
    body = "<h2>Soil test results</h2><p>Sampled: 11 July 2022</p>"
    for bag in found:
        body += (
            f"<h3>Sample: {bag.name}</h3><table>"
            + rows_html([[names[k][0], bag.values[k], names[k][1], "Medium"] for k in keys])
            + "</table>"
        )
    return printed(body, "td{padding:2px 14px}"), _all(found, keys)


@report("pdf-web/gauges.pdf")
def gauges() -> Made:
    [bag] = bags(["Raised box"], "webgauges", sampled_on="2023-08-14", basis="sampled", depth=INCHES_6)
    names = {
        "ph": ("pH", ""),
        "om": ("Organic Matter", "%"),
        "p": ("Phosphorus (P)", "ppm"),
        "k": ("Potassium (K)", "ppm"),
        "mg": ("Magnesium (Mg)", "ppm"),
        "zn": ("Zinc (Zn)", "ppm"),
    }
    lines = ""
    for n, (key, (name, unit)) in enumerate(names.items()):
        bar = f"<div style='width:220px;background:#ddd'><div style='width:{30 + 25 * n}px;height:8px;background:#393'></div></div>"
        lines += f"<tr><td>{name}</td><td style='text-align:right'><b>{bag.values[key]}</b> {unit}</td><td>{bar}</td><td>{('low', 'optimum', 'high')[n % 3]}</td></tr>"
    body = "<h2>Your soil</h2><p>Sample ID: Raised box</p><p>Date sampled: Aug 14, 2023</p><p>Sampling depth: 0-6 inches</p>"
    return printed(f"{body}<table>{lines}</table>", "td{padding:4px 10px}"), _all([bag], tuple(names))


@report("pdf-web/landscape-matrix.pdf")
def matrix() -> Made:
    found = bags([f"W{n}" for n in range(1, 13)], "webmatrix", sampled_on="2021-11-03", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca", "mg", "s", "zn", "mn", "cu", "fe", "b")
    heads = [
        "Sample",
        "pH",
        "Organic matter %",
        "Phosphorus ppm",
        "Potassium ppm",
        "Calcium ppm",
        "Magnesium ppm",
        "Sulfur ppm",
        "Zinc ppm",
        "Manganese ppm",
        "Copper ppm",
        "Iron ppm",
        "Boron ppm",
    ]
    head = "<tr>" + "".join(f"<th><span>{text}</span></th>" for text in heads) + "</tr>"
    style = "@page{size:A4 landscape}th span{writing-mode:vertical-rl;transform:rotate(180deg)}td{padding:2px 14px;text-align:right}"
    body = f"<p>Sampled: 3 November 2021</p><table>{head}{rows_html([[b.name, *(b.values[k] for k in keys)] for b in found])}</table>"
    return printed(body, style), _all(found, keys)


@report("pdf-web/two-columns.pdf")
def two_columns() -> Made:
    found = bags(
        ["Plot K", "Plot L", "Plot M", "Plot N"], "webcolumns", sampled_on="2022-12-05", basis="sampled"
    )
    names = {
        "ph": ("pH", ""),
        "om": ("Organic matter", "%"),
        "p": ("Phosphorus", "mg/kg"),
        "k": ("Potassium", "mg/kg"),
        "mg": ("Magnesium", "mg/kg"),
    }
    body = "<h2>Soil analysis</h2><p>Sampled: 5 December 2022</p><div class=two>"
    for bag in found:
        body += (
            f"<section><p>Sample: {bag.name}</p><table>"
            + rows_html([[name, bag.values[k], unit] for k, (name, unit) in names.items()])
            + "</table></section>"
        )
    return printed(
        body + "</div>", ".two{columns:2}section{break-inside:avoid;margin-bottom:20px}td{padding:2px 10px}"
    ), _all(found, tuple(names))


@report("pdf-web/pounds-and-parts.pdf")
def pounds() -> Made:
    found = bags(["Y1", "Y2"], "webpounds", depth=INCHES_6, sampled_on="2020-04-28", basis="sampled",
                 items=items(p=Item("phosphorus", LB, method="mehlich_1"), k=Item("potassium", LB, method="mehlich_1"), ca=Item("calcium", LB, method="mehlich_1")))  # fmt: skip
    keys = ("ph", "p", "k", "ca")
    head = "<tr><th rowspan=2>Sample</th><th rowspan=2>pH</th><th colspan=3>Mehlich-1 extractable, lb/acre</th></tr><tr><th>P</th><th>K</th><th>Ca</th></tr>"
    body = f"<p>Date sampled: April 28, 2020. Depth: 0-6 in</p><table>{head}{rows_html([[b.name, *(b.values[k] for k in keys)] for b in found])}</table>"
    return printed(body, RULES), _all(found, keys)


@report("pdf-web/print-of-a-mail.pdf")
def mail() -> Made:
    [bag] = bags(["Bed 4"], "webmail", sampled_on="2023-09-25", basis="sampled", items=by_method(p="olsen"))
    v = bag.values
    body = f"""<p>Dear grower,</p><p>please find below the results of your soil sample taken on 25 September 2023.</p>
<p>Sample: Bed 4</p><table>{rows_html([["pH", v["ph"], ""], ["Organic matter", v["om"], "%"], ["Olsen P", v["p"], "mg/kg"], ["Potassium", v["k"], "mg/kg"]])}</table>
<p>If you have questions call us. Our compost and manure tests are 20 % off in May.</p>"""
    return printed(body, "td{padding:2px 12px}"), bag.rows(("ph", "om", "p", "k"))
