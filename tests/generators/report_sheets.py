"""Reports as spreadsheets, by openpyxl, XlsxWriter and odfpy."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from tests.generators.report_common import (
    INCHES_6,
    Bag,
    Item,
    Made,
    Row,
    bags,
    by_method,
    items,
    report,
    soil,
)

KEYS = ("ph", "om", "p", "k", "ca", "mg")
HEADS = ("pH", "OM %", "P ppm", "K ppm", "Ca ppm", "Mg ppm")


def _numbers(bag: Bag, keys: Sequence[str]) -> list[float]:
    return [float(bag.values[key]) for key in keys]


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[Row]:
    return [row for bag in found for row in bag.rows(keys)]


def _openpyxl() -> Any:
    from openpyxl import Workbook

    return Workbook()


def _on_one_page(sheet: Any) -> None:
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _saved(book: Any) -> bytes:
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _xlsxwriter() -> tuple[Any, io.BytesIO]:
    import xlsxwriter

    stream = io.BytesIO()
    return xlsxwriter.Workbook(stream, {"in_memory": True}), stream


@report("sheet-plain/openpyxl.xlsx")
def plain() -> Made:
    found = bags(["Bed A", "Bed B", "Bed C"], "xlplain", sampled_on="2021-04-06", basis="sampled")
    book = _openpyxl()
    sheet = book.active
    sheet.append(["Sample", "Date sampled", *HEADS])
    for bag in found:
        sheet.append([bag.name, date(2021, 4, 6), *_numbers(bag, KEYS)])
    sheet.column_dimensions["B"].width = 16
    _on_one_page(sheet)
    return _saved(book), _all(found, KEYS)


@report("sheet-merged/merged-groups.xlsx")
def merged() -> Made:
    found = bags(["1", "2"], "xlmerged", lab="Kelder Soil Laboratory", report="K-31")
    found = [
        bag.has(items=by_method(p="mehlich_3", k="mehlich_3", ca="mehlich_3", mg="mehlich_3"))
        for bag in found
    ]
    keys = (*KEYS, "sat_ca", "sat_mg", "sat_k", "sat_h")
    book = _openpyxl()
    sheet = book.active
    for row in (
        ["Kelder Soil Laboratory"],
        ["Report No", "K-31"],
        [],
        ["", "", "", "Mehlich-3 (ppm)", "", "", "", "Base saturation (%)"],
        ["Sample", "pH", "OM %", "P", "K", "Ca", "Mg", "Ca", "Mg", "K", "H"],
    ):
        sheet.append(row)
    sheet.merge_cells("D4:G4")
    sheet.merge_cells("H4:K4")
    _on_one_page(sheet)
    for bag in found:
        sheet.append([int(bag.name), *_numbers(bag, keys)])
    return _saved(book), _all(found, keys)


@report("sheet-several/one-sheet-a-field.xlsx")
def several() -> Made:
    book, stream = _xlsxwriter()
    rows: list[Row] = []
    for field in ("Hill", "Valley"):
        sheet = book.add_worksheet(field)
        found = bags([f"{field} 1", f"{field} 2"], "xlseveral", sampled_on="2022-10-03", basis="sampled")
        sheet.write_row(0, 0, ["Sampled on", "2022-10-03"])
        sheet.write_row(2, 0, ["Sample ID", *HEADS])
        for line, bag in enumerate(found, start=3):
            sheet.write_row(line, 0, [bag.name, *_numbers(bag, KEYS)])
        rows += _all(found, KEYS)
    notes = book.add_worksheet("Notes")
    notes.write(0, 0, "Methods are described in our brochure.")
    book.close()
    return stream.getvalue(), rows


@report("sheet-deep-header/header-far-down.xlsx")
def deep() -> Made:
    found = bags(
        ["N1", "N2"], "xldeep", sampled_on="2020-11-12", basis="sampled", depth=INCHES_6, report="20-7781"
    )
    book, stream = _xlsxwriter()
    sheet = book.add_worksheet("Results")
    sheet.write(0, 2, "Whitcombe Analytical Laboratory")
    sheet.write_row(4, 1, ["Grower:", "Wrenfield Market Garden"])
    sheet.write_row(5, 1, ["Report number:", "20-7781"])
    day = book.add_format({"num_format": "dd/mm/yyyy"})
    sheet.write(6, 1, "Date sampled:")
    sheet.write_datetime(6, 2, __import__("datetime").datetime(2020, 11, 12), day)
    sheet.write_row(7, 1, ["Depth:", "0-6 in"])
    sheet.write_row(28, 3, ["Sample ID", *HEADS])
    for line, bag in enumerate(found, start=29):
        sheet.write_row(line, 3, [bag.name, *_numbers(bag, KEYS)])
    book.close()
    found = [bag.has(lab="Whitcombe Analytical Laboratory") for bag in found]
    return stream.getvalue(), _all(found, KEYS)


@report("sheet-text-numbers/numbers-as-text.xlsx")
def text_numbers() -> Made:
    found = bags(["U-7", "U-8"], "xltext", sampled_on="2019-05-20", basis="sampled")
    book, stream = _xlsxwriter()
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["Sample", "Sampled", *HEADS])
    for line, bag in enumerate(found, start=1):
        for column, text in enumerate([bag.name, "20 May 2019", *(bag.values[key] for key in KEYS)]):
            sheet.write_string(line, column, text)
    book.close()
    return stream.getvalue(), _all(found, KEYS)


@report("sheet-serial-dates/dates-and-percents.xlsx")
def percents() -> Made:
    found = bags(["D1", "D2"], "xlpercent", sampled_on="2023-04-17", basis="sampled")
    keys = ("ph", "om", "cec", "sat_ca", "sat_mg", "sat_k", "sat_h", "sat_na")
    book, stream = _xlsxwriter()
    sheet = book.add_worksheet()
    percent = book.add_format({"num_format": "0.0%"})
    day = book.add_format({"num_format": "d mmm yyyy"})
    heads = [
        "Sample",
        "Date sampled",
        "pH",
        "Organic matter",
        "CEC (meq/100g)",
        "Ca sat",
        "Mg sat",
        "K sat",
        "H sat",
        "Na sat",
    ]
    sheet.write_row(0, 0, heads)
    for line, bag in enumerate(found, start=1):
        sheet.write(line, 0, bag.name)
        sheet.write_number(line, 1, 45033, day)
        for column, key in enumerate(keys, start=2):
            number = float(bag.values[key])
            if key in ("ph", "cec"):
                sheet.write_number(line, column, number)
            else:
                sheet.write_number(line, column, number / 100, percent)
    book.close()
    return stream.getvalue(), _all(found, keys)


@report("sheet-hidden/hidden-rows-columns-sheets.xlsx")
def hidden() -> Made:
    found = bags(["Visible 1", "Visible 2"], "xlhidden", sampled_on="2022-03-08", basis="sampled")
    [secret] = bags(["Hidden"], "xlhidden")
    book = _openpyxl()
    sheet = book.active
    sheet.title = "Results"
    sheet.append(["Sample", "Sampled", "pH", "OM %", "Old pH", "P ppm", "K ppm"])
    for bag in (found[0], secret, found[1]):
        v = bag.values
        sheet.append(
            [bag.name, date(2022, 3, 8), float(v["ph"]), float(v["om"]), 4.4, int(v["p"]), int(v["k"])]
        )
    sheet.row_dimensions[3].hidden = True
    sheet.column_dimensions["E"].hidden = True
    old = book.create_sheet("Old")
    old.append(["Sample", "pH", "P ppm"])
    old.append(["Visible 1", 4.2, 9])
    old.sheet_state = "hidden"
    return _saved(book), _all(found, ("ph", "om", "p", "k"))


@report("sheet-pairs/form-in-cells.xlsx")
def form() -> Made:
    [bag] = bags(["Pepper tunnel"], "xlform", sampled_on="2024-02-27", basis="sampled")
    keys = (*KEYS, "zn", "b", "cec")
    names = {"ph": ("Soil pH", ""), "om": ("Organic Matter", "%"), "p": ("Phosphorus", "ppm"), "k": ("Potassium", "ppm"),
             "ca": ("Calcium", "ppm"), "mg": ("Magnesium", "ppm"), "zn": ("Zinc", "ppm"), "b": ("Boron", "ppm"),
             "cec": ("CEC", "meq/100 g")}  # fmt: skip
    book = _openpyxl()
    sheet = book.active
    for row in ([], ["", "Sample:", "Pepper tunnel"], ["", "Date sampled:", "27 February 2024"], []):
        sheet.append(row)
    for key in keys:
        sheet.append(["", names[key][0], float(bag.values[key]), names[key][1], "", "6 - 7"])
    return _saved(book), _all([bag], keys)


def _ods(rows: Sequence[Sequence[Any]], hidden_rows: Sequence[int] = ()) -> bytes:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    table = Table(name="Results")
    for number, cells in enumerate(rows):
        row = TableRow(visibility="collapse") if number in hidden_rows else TableRow()
        for cell in cells:
            if isinstance(cell, int | float):
                filled = TableCell(valuetype="float", value=cell)
            elif isinstance(cell, date):
                filled = TableCell(valuetype="date", datevalue=cell.isoformat())
            else:
                filled = TableCell(valuetype="string")
            filled.addElement(P(text=str(cell)))
            row.addElement(filled)
        table.addElement(row)
    book.spreadsheet.addElement(table)
    stream = io.BytesIO()
    book.write(stream)
    return stream.getvalue()


@report("sheet-ods/odfpy.ods")
def ods() -> Made:
    found = bags(["O1", "O2"], "ods", sampled_on="2021-09-14", basis="sampled")
    rows: list[list[Any]] = [["Sample", "Sampled", *HEADS]]
    rows += [[bag.name, date(2021, 9, 14), *_numbers(bag, KEYS)] for bag in found]
    return _ods(rows), _all(found, KEYS)


@report("sheet-ods/hidden-row.ods")
def ods_hidden() -> Made:
    found = bags(["H1", "H2", "H3"], "odshidden")
    rows: list[list[Any]] = [["Sample", *HEADS]] + [[bag.name, *_numbers(bag, KEYS)] for bag in found]
    return _ods(rows, hidden_rows=[2]), _all([found[0], found[2]], KEYS)


@report("sheet-years/one-column-a-year.xlsx")
def years() -> Made:
    days = ("2021-05-04", "2022-05-03", "2023-05-09")
    found = [Bag("Main bed", soil(f"xlyears/{day}"), day, "sampled") for day in days]
    book = _openpyxl()
    sheet = book.active
    sheet.append(["Sample", "Main bed"])
    sheet.append([])
    sheet.append(["Test", *(date.fromisoformat(day) for day in days)])
    names = ("pH", "Organic matter (%)", "P (ppm)", "K (ppm)", "Ca (ppm)", "Mg (ppm)")
    for name, key in zip(names, KEYS, strict=True):
        sheet.append([name, *(float(bag.values[key]) for bag in found)])
    return _saved(book), _all(found, KEYS)


@report("sheet-oxides/german-sheet.xlsx")
def oxides() -> Made:
    other = items(
        ph=Item("ph", method="cacl2"), p=Item("phosphorus", "mg/(100.g)", "P2O5", "cal"),
        k=Item("potassium", "mg/(100.g)", "K2O", "cal"), mg=Item("magnesium", "mg/(100.g)", "", "cacl2"),
    )  # fmt: skip
    found = bags(["Schlag 4", "Schlag 5"], "xloxides", sampled_on="2022-02-21", basis="sampled", items=other)
    keys = ("ph", "p", "k", "mg", "om")
    book, stream = _xlsxwriter()
    sheet = book.add_worksheet("Ergebnisse")
    sheet.write_row(
        0, 0, ["Probe", "Entnahme", "pH (CaCl2)", "P2O5 (CAL)", "K2O (CAL)", "Mg (CaCl2)", "Humus"]
    )
    sheet.write_row(1, 2, ["", "mg/100 g", "mg/100 g", "mg/100 g", "%"])
    for line, bag in enumerate(found, start=2):
        sheet.write_row(line, 0, [bag.name, "21.02.2022", *_numbers(bag, keys)])
    book.close()
    return stream.getvalue(), _all(found, keys)
