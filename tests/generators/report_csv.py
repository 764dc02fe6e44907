"""Reports as delimited text, in the many ways that laboratories and their programs write it."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import csv
import io
from collections.abc import Sequence

from tests.generators.report_common import (
    INCHES_6,
    LB,
    MEQ,
    PPM,
    Bag,
    Item,
    Made,
    bags,
    by_method,
    comma,
    items,
    report,
    soil,
)

Cells = Sequence[Sequence[str]]


def _csv(rows: Cells, delimiter: str = ",", encoding: str = "utf-8") -> bytes:
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter).writerows(rows)
    return stream.getvalue().encode(encoding)


def _all(found: Sequence[Bag], keys: Sequence[str]) -> list[dict[str, str]]:
    return [row for bag in found for row in bag.rows(keys)]


@report("csv-wide/samples-down.csv")
def wide() -> Made:
    found = bags(
        ["Bed 1", "Bed 2", "Bed 3"],
        "csvwide",
        lab="Merrow Soil Lab",
        report="M-100",
        sampled_on="2021-10-05",
        basis="sampled",
    )
    keys = ("ph", "om", "p", "k", "ca", "mg", "cec")
    rows = [
        [
            "Sample ID",
            "Date Sampled",
            "pH",
            "OM (%)",
            "P (ppm)",
            "K (ppm)",
            "Ca (ppm)",
            "Mg (ppm)",
            "CEC (meq/100g)",
        ]
    ]
    rows += [[bag.name, "2021-10-05", *(bag.values[key] for key in keys)] for bag in found]
    rows = [["Laboratory", "Merrow Soil Lab"], ["Report No", "M-100"], [], *rows, [], ["End of report"]]
    return _csv(rows), _all(found, keys)


@report("csv-wide/semicolon-comma.csv")
def german() -> Made:
    found = bags(["Beet 1", "Beet 2"], "csvgerman", sampled_on="2020-03-11", basis="sampled",
                 items=items(ph=Item("ph", method="cacl2"), p=Item("phosphorus", "mg/(100.g)", "P2O5", "cal"), k=Item("potassium", "mg/(100.g)", "K2O", "cal")))  # fmt: skip
    rows = [
        [
            "Probe",
            "Probenahme",
            "pH (CaCl2)",
            "Humus %",
            "P2O5 CAL mg/100g",
            "Klasse",
            "K2O CAL mg/100g",
            "Klasse",
        ]
    ]
    for bag in found:
        v = comma(bag.values)
        rows.append([bag.name, "11.03.2020", v["ph"], v["om"], v["p"], "C", v["k"], "D"])
    return _csv(rows, ";", "cp1252"), _all(found, ("ph", "om", "p", "k"))


@report("csv-wide/units-in-second-row.tsv")
def second_row() -> Made:
    found = bags(["Q1", "Q2"], "csvsecond", depth=("0", "15"))
    keys = ("ph", "ec", "om", "no3n", "p", "k")
    rows = [
        ["Sample", "Depth", "pH", "EC", "Organic Matter", "NO3-N", "P", "K"],
        ["", "cm", "", "dS/m", "%", "mg/kg", "mg/kg", "mg/kg"],
    ]
    rows += [[bag.name, "0-15", *(bag.values[key] for key in keys)] for bag in found]
    return _csv(rows, "\t", "utf-16"), _all(found, keys)


@report("csv-blocks/block-per-sample.csv")
def blocks() -> Made:
    found = bags(["Rhubarb", "Asparagus", "Currants"], "csvblocks", lab="Lowfell Laboratory")
    days = ("2022-04-02", "2022-04-03", "2022-04-04")
    found = [bag.has(sampled_on=day, basis="sampled") for bag, day in zip(found, days, strict=True)]
    keys = ("ph", "om", "p", "k", "mg")
    names = {
        "ph": ("pH", ""),
        "om": ("Organic Matter", "%"),
        "p": ("Phosphorus", "ppm"),
        "k": ("Potassium", "ppm"),
        "mg": ("Magnesium", "ppm"),
    }
    rows: list[list[str]] = [["Lowfell Laboratory"], []]
    for bag in found:
        rows += [
            ["Sample", bag.name],
            ["Date sampled", bag.sampled_on],
            ["Test", "Result", "Unit", "Optimum range"],
        ]
        rows += [[names[key][0], bag.values[key], names[key][1], "10 - 20"] for key in keys]
        rows.append([])
    return _csv(rows), _all(found, keys)


@report("csv-long/one-result-a-row.csv")
def long() -> Made:
    found = bags(
        ["L-01", "L-02"],
        "csvlong",
        lab="",
        sampled_on="2023-03-15",
        basis="sampled",
        depth=("0", "20"),
        items=by_method(p="mehlich_3", k="mehlich_3"),
    )
    keys = ("ph", "om", "p", "k", "s", "b")
    names = {"ph": ("pH", "", ""), "om": ("Organic Matter", "%", ""), "p": ("Phosphorus", "mg/kg", "Mehlich 3"),
             "k": ("Potassium", "mg/kg", "Mehlich 3"), "s": ("Sulfur", "mg/kg", ""), "b": ("Boron", "mg/kg", "")}  # fmt: skip
    rows = [["SampleID", "Depth (cm)", "SampleDate", "Analyte", "Value", "Units", "Method"]]
    for bag in found:
        rows += [
            [bag.name, "0-20", "2023-03-15", names[key][0], bag.values[key], names[key][1], names[key][2]]
            for key in keys
        ]
    return _csv(rows, "|"), _all(found, keys)


@report("csv-transposed/analytes-down.csv")
def transposed() -> Made:
    found = bags(["P-1", "P-2", "P-3"], "csvtransposed", sampled_on="2018-09-30", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca")
    names = {"ph": "pH", "om": "Organic matter (%)", "p": "P (mg/kg)", "k": "K (mg/kg)", "ca": "Ca (mg/kg)"}
    rows = [["Sample", *(bag.name for bag in found)], ["Date sampled", *(["2018-09-30"] * 3)]]
    rows += [[names[key], *(bag.values[key] for bag in found)] for key in keys]
    return _csv(rows), _all(found, keys)


@report("csv-previous/previous-and-current.csv")
def previous() -> Made:
    found = bags(["Front", "Back"], "csvprevious", sampled_on="2024-03-21", basis="sampled")
    keys = ("ph", "om", "p", "k")
    rows = [
        [
            "Sample",
            "Sampled",
            "pH",
            "Previous pH",
            "OM %",
            "Previous OM %",
            "P ppm",
            "Previous P ppm",
            "K ppm",
            "Previous K ppm",
        ]
    ]
    for bag in found:
        old = soil(f"older/{bag.name}")
        rows.append([bag.name, "2024-03-21", *(text for key in keys for text in (bag.values[key], old[key]))])
    return _csv(rows), _all(found, keys)


@report("csv-previous/columns-side-by-side.csv")
def previous_columns() -> Made:
    [bag] = bags(["Lettuce house"], "csvprev2", sampled_on="2023-02-09", basis="sampled")
    old = soil("csvprev2/old")
    keys = ("ph", "om", "p", "k", "mg")
    names = {
        "ph": ("pH", ""),
        "om": ("Organic Matter", "%"),
        "p": ("Phosphorus", "ppm"),
        "k": ("Potassium", "ppm"),
        "mg": ("Magnesium", "ppm"),
    }
    rows = [
        ["Sample", "Lettuce house"],
        ["Sampled", "2023-02-09"],
        [],
        ["Test", "Unit", "Current", "Previous", "Optimum", "Rating"],
    ]
    rows += [[names[key][0], names[key][1], bag.values[key], old[key], "100-200", "H"] for key in keys]
    return _csv(rows), _all([bag], keys)


@report("csv-rates/recommended-rates.csv")
def rates() -> Made:
    found = bags(["F1", "F2"], "csvrates", items=by_method(p="bray_p1"))
    keys = ("ph", "bph", "p", "k")
    rows = [
        [
            "Sample ID",
            "pH",
            "Buffer pH",
            "P Bray-1 (ppm)",
            "P rating",
            "K (ppm)",
            "K rating",
            "N rec (lb/1000 sq ft)",
            "P2O5 rec (lb/1000 sq ft)",
            "K2O rec (lb/1000 sq ft)",
            "Lime (lb/1000 sq ft)",
        ]
    ]
    rows += [
        [
            b.name,
            b.values["ph"],
            b.values["bph"],
            b.values["p"],
            "H",
            b.values["k"],
            "M",
            "3.0",
            "1.2",
            "2.4",
            "40",
        ]
        for b in found
    ]
    return _csv(rows), _all(found, keys)


@report("csv-three-ways/percent-ppm-meq.csv")
def three_ways() -> Made:
    found = bags(["S-1", "S-2", "S-3"], "csvthree")
    keys = ("ph", "cec", "ca", "mg", "k", "na", "sat_ca", "sat_mg", "sat_k", "sat_na", "sat_h")
    weight = {"ca": 200.0, "mg": 121.5, "k": 390.0, "na": 230.0}
    head = ["Sample", "pH", "CEC meq/100g"]
    for name in ("Ca", "Mg", "K", "Na"):
        head += [f"{name} ppm", f"{name} meq/100g", f"{name} % sat"]
    rows = [[*head, "H % sat"]]
    for bag in found:
        cells = [bag.name, bag.values["ph"], bag.values["cec"]]
        for key in ("ca", "mg", "k", "na"):
            cells += [
                bag.values[key],
                f"{float(bag.values[key]) / weight[key]:.2f}",
                bag.values[f"sat_{key}"],
            ]
        rows.append([*cells, bag.values["sat_h"]])
    return _csv(rows), _all(found, keys)


@report("csv-three-ways/pounds-beside-ppm.csv")
def pounds() -> Made:
    found = bags(["R-1", "R-2"], "csvpounds", depth=INCHES_6)
    keys = ("ph", "p", "k", "ca")
    rows = [
        ["Sample", "Depth (in)", "pH", "P ppm", "P lb/acre", "K ppm", "K lb/acre", "Ca ppm", "Ca lb/acre"]
    ]
    for bag in found:
        cells = [bag.name, "0-6", bag.values["ph"]]
        for key in keys[1:]:
            cells += [bag.values[key], str(2 * int(bag.values[key]))]
        rows.append(cells)
    return _csv(rows), _all(found, keys)


@report("csv-depths/two-depths.csv")
def depths() -> Made:
    top = bags(["Field A", "Field B"], "csvtop", depth=INCHES_6)
    deep = bags(["Field A", "Field B"], "csvdeep", depth=("15.24", "60.96"))
    keys = ("ph", "no3n", "om")
    rows = [["Field", "Top (in)", "Bottom (in)", "pH", "Nitrate-N ppm", "OM %"]]
    for one, two in zip(top, deep, strict=True):
        rows.append([one.name, "0", "6", *(one.values[key] for key in keys)])
        rows.append([two.name, "6", "24", *(two.values[key] for key in keys)])
    return _csv(rows), _all([*top, *deep], keys)


@report("csv-methods/three-phosphorus-methods.csv")
def methods() -> Made:
    found = bags(["V1", "V2"], "csvmethods")
    names = {
        "p1": ("bray_p1", "Bray P1 (ppm)"),
        "p2": ("olsen", "Olsen P (ppm)"),
        "p3": ("mehlich_3", "Mehlich-3 P (ppm)"),
    }
    rows = [["Sample", "pH", *(text for _, text in names.values())]]
    expected = []
    for n, bag in enumerate(found):
        values = {**bag.values, "p1": str(31 + n), "p2": str(18 + n), "p3": str(52 + n)}
        full = bag.has(
            values=values,
            items=items(
                **{key: Item("phosphorus", PPM, method=method) for key, (method, _) in names.items()}
            ),
        )
        rows.append([bag.name, values["ph"], *(values[key] for key in names)])
        expected += full.rows(("ph", *names))
    return _csv(rows), expected


@report("csv-texture/sand-silt-clay.csv")
def texture() -> Made:
    found = bags(["X1", "X2"], "csvtexture")
    keys = ("ph", "sand", "silt", "clay", "om")
    rows = [["Sample", "pH", "Sand %", "Silt %", "Clay %", "Texture", "OM %", "C:N ratio"]]
    rows += [
        [
            b.name,
            b.values["ph"],
            b.values["sand"],
            b.values["silt"],
            b.values["clay"],
            "loam",
            b.values["om"],
            "11.2",
        ]
        for b in found
    ]
    return _csv(rows), _all(found, keys)


@report("csv-units/cmol-and-pounds-only.csv")
def only_pounds() -> Made:
    other = items(
        p=Item("phosphorus", LB), k=Item("potassium", LB), ca=Item("calcium", MEQ), mg=Item("magnesium", MEQ)
    )
    found = [
        bag.has(values={**bag.values, "ca": "9.4", "mg": "1.7"}, items=other)
        for bag in bags(["Z1", "Z2"], "csvonly", depth=INCHES_6)
    ]
    keys = ("ph", "p", "k", "ca", "mg")
    rows = [["Sample", "Depth", "pH", "P (lbs/A)", "K (lbs/A)", "Ca (cmol/kg)", "Mg (cmol/kg)"]]
    rows += [[bag.name, "0-6 in", *(bag.values[key] for key in keys)] for bag in found]
    return _csv(rows), _all(found, keys)


@report("csv-recent/dates-month-first.csv")
def month_first() -> Made:
    found = bags(["C1", "C2"], "csvdates")
    days = (("03/04/2022", "2022-03-04"), ("03/22/2022", "2022-03-22"))
    found = [bag.has(sampled_on=day, basis="sampled") for bag, (_, day) in zip(found, days, strict=True)]
    rows = [["Sample", "Date sampled", "pH", "P ppm", "K ppm"]]
    rows += [
        [b.name, printed, b.values["ph"], b.values["p"], b.values["k"]]
        for b, (printed, _) in zip(found, days, strict=True)
    ]
    return _csv(rows), _all(found, ("ph", "p", "k"))
