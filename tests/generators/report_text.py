"""Reports as plain text, set by hand: printouts, mails, sheets of two samples side by side."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

from collections.abc import Sequence

from tests.generators.report_common import (
    INCHES_6,
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

NAMES = {
    "ph": "pH", "om": "Organic Matter", "p": "Phosphorus", "k": "Potassium", "ca": "Calcium",
    "mg": "Magnesium", "na": "Sodium", "s": "Sulfur", "zn": "Zinc", "mn": "Manganese", "cu": "Copper",
    "fe": "Iron", "b": "Boron", "cec": "CEC", "no3n": "Nitrate-N", "ec": "Soluble Salts", "bph": "Buffer pH",
}  # fmt: skip
UNITS = {"ph": "", "bph": "", "om": "%", "cec": "meq/100 g", "ec": "dS/m"}
MAIN = ("ph", "om", "p", "k", "ca", "mg", "s", "zn", "mn", "cu")


def _unit(key: str) -> str:
    return UNITS.get(key, "ppm")


def _made(text: str, found: Sequence[Bag], keys: Sequence[str], encoding: str = "utf-8") -> Made:
    return text.encode(encoding), [row for bag in found for row in bag.rows(keys)]


def _rating(text: str) -> str:
    return ("Low", "Medium", "High", "Very High")[sum(map(ord, text)) % 4]


@report("text-leaders/northlea-dotted.txt")
def dotted() -> Made:
    same = {
        "lab": "Northlea Soil Laboratory",
        "report": "NL-4471",
        "sampled_on": "2021-04-19",
        "basis": "sampled",
    }
    found = bags(["Bean row", "Pond side"], "northlea", **same, depth=("0", "20"))
    blocks = []
    for bag in found:
        lines = [
            f"{NAMES[key]} {'.' * (30 - len(NAMES[key]))} {bag.values[key]:>7} {_unit(key)}" for key in MAIN
        ]
        blocks.append(f"Sample: {bag.name}\nDepth: 0-20 cm\n\n" + "\n".join(lines))
    head = "NORTHLEA SOIL LABORATORY\nReport No: NL-4471\nDate sampled: 19 April 2021\nReport date: 3 May 2021\n\n"
    text = head.replace("NORTHLEA SOIL LABORATORY", "Northlea Soil Laboratory") + "\n\n\n".join(blocks) + "\n"
    return _made(text, found, MAIN)


@report("text-leaders/spaced-dots.txt")
def spaced() -> Made:
    [bag] = bags(
        ["Lower terrace"], "spaced", lab="Quarrow Analytical", sampled_on="2019-10-04", basis="received"
    )
    lines = [
        f"  {(NAMES[key] + ' ').ljust(34, '.').replace('..', ' .')} {bag.values[key]} {_unit(key)}"
        for key in MAIN
    ]
    text = (
        "Quarrow Analytical\nSoil test results\n\nField: Lower terrace\nReceived: 2019-10-04\n\n"
        + "\n".join(lines)
        + "\n"
    )
    return _made(text, [bag], MAIN)


@report("text-frames/box-drawing.txt")
def box() -> Made:
    found = bags(["North 1", "North 2", "South 1"], "box", sampled_on="2022-03-30", basis="sampled")
    keys = ("ph", "om", "p", "k", "ca", "mg")
    heads = ["Sample", "pH", "OM %", "P ppm", "K ppm", "Ca ppm", "Mg ppm"]
    cells = [[bag.name, *(bag.values[key] for key in keys)] for bag in found]
    widths = [max(len(row[i]) for row in [heads, *cells]) for i in range(len(heads))]

    def line(left: str, middle: str, right: str) -> str:
        return left + middle.join("─" * (width + 2) for width in widths) + right

    def filled(row: list[str]) -> str:
        return "│" + "│".join(f" {text:<{width}} " for text, width in zip(row, widths, strict=True)) + "│"

    rows = [line("┌", "┬", "┐"), filled(heads), line("├", "┼", "┤")]
    rows += [filled(row) for row in cells] + [line("└", "┴", "┘")]
    return _made("Soil test\nSampled: 30 March 2022\n\n" + "\n".join(rows) + "\n", found, keys)


@report("text-frames/plus-and-bars.txt")
def bars() -> Made:
    found = bags(["T-1", "T-2"], "bars", lab="Oxmere Agronomy Lab")
    keys = ("ph", "bph", "p", "k", "cec")
    heads = ["Sample ID", "pH", "Buffer pH", "P", "K", "CEC"]
    units = ["", "", "", "mg/kg", "mg/kg", "meq/100g"]
    edge = "+-----------+------+-----------+-------+-------+----------+"
    lines = [edge, _bars(heads), _bars(units), edge]
    lines += [_bars([bag.name, *(bag.values[key] for key in keys)]) for bag in found] + [edge]
    return _made("Oxmere Agronomy Lab - soil analysis\n" + "\n".join(lines) + "\n", found, keys)


def _bars(cells: Sequence[str]) -> str:
    widths = (9, 4, 9, 5, 5, 8)
    return "| " + " | ".join(f"{text:>{width}}" for text, width in zip(cells, widths, strict=True)) + " |"


@report("text-pages/form-feeds.txt")
def feeds() -> Made:
    found = bags(["A-12", "A-13", "A-14"], "feeds", depth=INCHES_6)
    found = [
        bag.has(
            lab="Penlow Soil Testing Service", report=f"77-{n}", sampled_on=f"2020-05-0{n}", basis="sampled"
        )
        for n, bag in enumerate(found, start=1)
    ]
    pages = []
    for bag in found:
        lines = [
            f"{NAMES[key]:<20}{bag.values[key]:>10}  {_unit(key):<10}{_rating(bag.values[key])}"
            for key in MAIN
        ]
        pages.append(
            f"Penlow Soil Testing Service\nReport: {bag.report}      Sample ID: {bag.name}\n"
            f"Sampled: {bag.sampled_on}    Sample depth: 0-6 inches\n\n"
            f"{'Test':<20}{'Result':>10}  {'Unit':<10}Rating\n" + "\n".join(lines)
        )
    return _made("\f".join(pages) + "\n", found, MAIN)


@report("text-side-by-side/two-sheets.txt")
def side_by_side() -> Made:
    found = bags(["Upper", "Lower"], "sidebyside", sampled_on="2023-09-12", basis="sampled")
    lines = ["Soil analysis     Sampled: 12 Sep 2023", "", f"{'Sample: Upper':<38}Sample: Lower", ""]
    for key in MAIN:
        cells = [f"{NAMES[key] + ':':<18}{bag.values[key]:>7} {_unit(key)}" for bag in found]
        lines.append(f"{cells[0]:<38}{cells[1]}")
    return _made("\n".join(lines) + "\n", found, MAIN)


@report("text-side-by-side/columns-of-samples.txt")
def columns() -> Made:
    found = bags(
        ["Plot 1", "Plot 2", "Plot 3", "Plot 4"], "columns", report="S-908", lab="Hallow Laboratories"
    )
    lines = ["Hallow Laboratories", "Order No: S-908", "Soil report", ""]
    lines.append(f"{'Test':<24}" + "".join(f"{bag.name:>10}" for bag in found))
    for key in MAIN:
        name = f"{NAMES[key]}, {_unit(key)}" if _unit(key) else NAMES[key]
        lines.append(f"{name:<24}" + "".join(f"{bag.values[key]:>10}" for bag in found))
    return _made("\n".join(lines) + "\n", found, MAIN)


@report("text-wrapped/wrapped-names.txt")
def wrapped() -> Made:
    [bag] = bags(
        ["Orchard strip"],
        "wrapped",
        sampled_on="2018-11-02",
        basis="reported",
        items=by_method(om="loss_on_ignition", zn="dtpa"),
    )
    v = bag.values
    text = f"""Soil test report
Reported: 2 November 2018
Sample: Orchard strip

Test                     Result    Unit       Optimum
pH                       {v["ph"]:<10}           6.2 - 6.8
Organic Matter
  (loss on ignition)     {v["om"]:<10}%          3 - 6
Potassium                {v["k"]:<10}ppm        120 - 200
Zinc
  (DTPA)                 {v["zn"]:<10}ppm        1.0 - 3.0
Calcium                  {v["ca"]:<10}ppm        800 - 2000
"""
    return _made(text, [bag], ("ph", "om", "k", "zn", "ca"))


@report("text-ratings/words-and-asterisks.txt")
def asterisks() -> Made:
    [bag] = bags(["Kale bed"], "asterisks", sampled_on="2020-03-16", basis="sampled")
    keys = ("ph", "p", "k", "mg", "ca", "zn")
    lines = ["SOIL TEST", "Sample: Kale bed     Date sampled: 16 Mar 2020", ""]
    lines.append(f"{'Nutrient':<14}{'Result':>8}  {'Unit':<6}{'Low':<10}{'Medium':<10}{'High':<10}")
    for key in keys:
        stars = "*" * (4 + sum(map(ord, bag.values[key])) % 22)
        lines.append(f"{NAMES[key]:<14}{bag.values[key]:>8}  {_unit(key):<6}{stars}")
    return _made("\n".join(lines) + "\n", [bag], keys)


@report("text-ratings/glued.txt")
def glued() -> Made:
    found = bags(["1A", "1B"], "glued", lab="Brackwater Soil Lab", sampled_on="2017-04-01", basis="sampled")
    keys = ("ph", "p", "k", "ca", "mg", "zn", "mn")
    lines = [
        "Brackwater Soil Lab",
        "Sampled 1 April 2017",
        "Extraction: Mehlich-1. P, K, Ca, Mg, Zn, Mn in lb/acre",
        "",
    ]
    lines.append(f"{'Sample':<8}{'pH':>6}" + "".join(f"{NAMES_SHORT[key]:>9}" for key in keys[1:]))
    lines.append(f"{'':<8}{'':>6}" + "".join(f"{'lbs/A':>9}" for _ in keys[1:]))
    letters = ("L", "M", "H", "VH", "H+", "L+")
    for bag in found:
        cells = "".join(f"{bag.values[key] + letters[n]:>9}" for n, key in enumerate(keys[1:]))
        lines.append(f"{bag.name:<8}{bag.values['ph']:>6}{cells}")
    pounds = {key: Item(by_method()[key].analyte, "lb/acre", method="mehlich_1") for key in keys[1:]}
    return _made("\n".join(lines) + "\n", [bag.has(items=items(**pounds)) for bag in found], keys)


NAMES_SHORT = {
    "ph": "pH",
    "p": "P",
    "k": "K",
    "ca": "Ca",
    "mg": "Mg",
    "zn": "Zn",
    "mn": "Mn",
    "cu": "Cu",
    "s": "S",
    "fe": "Fe",
    "b": "B",
}


@report("text-mail/quoted-older-report.txt")
def mail() -> Made:
    [bag] = bags(["East long bed"], "mail", sampled_on="2024-04-08", basis="sampled")
    old = soil("mail/older")
    v = bag.values
    text = f"""From: results@ferncote.example
To: grower@wrenfield.example
Date: Mon, 22 Apr 2024 09:14:11 +0100
Subject: Your soil test results

Hello,

here are the results for your sample taken on 8 April 2024:

Sample: East long bed
pH: {v["ph"]}
Organic matter: {v["om"]} %
Phosphorus (Olsen): {v["p"]} mg/kg
Potassium: {v["k"]} mg/kg
Magnesium: {v["mg"]} mg/kg

Kind regards,
Ferncote Soil Laboratory

On 3 May 2021, Ferncote Soil Laboratory wrote:
> Here are the results for your sample taken on 12 April 2021:
>
> Sample: East long bed
> pH: {old["ph"]}
> Organic matter: {old["om"]} %
> Phosphorus (Olsen): {old["p"]} mg/kg
> Potassium: {old["k"]} mg/kg
> Magnesium: {old["mg"]} mg/kg
"""
    found = bag.has(items=by_method(p="olsen"), lab="Ferncote Soil Laboratory")
    return _made(text, [found], ("ph", "om", "p", "k", "mg"))


@report("text-split/macro-and-micro.txt")
def split() -> Made:
    found = bags(
        ["B1", "B2", "B3"],
        "split",
        lab="Ashgrove Testing Laboratory",
        report="AG 2215",
        sampled_on="2022-10-11",
        basis="sampled",
    )
    macro, micro = ("ph", "om", "p", "k", "ca", "mg"), ("s", "zn", "mn", "fe", "cu", "b")
    lines = [
        "Ashgrove Testing Laboratory",
        "Report number: AG 2215",
        "Date sampled: 11 October 2022",
        "",
        "MACRONUTRIENTS",
        "",
    ]
    lines += _plain_table(["Sample", "pH", "OM %", "P ppm", "K ppm", "Ca ppm", "Mg ppm"], found, macro)
    lines += ["", "MICRONUTRIENTS", ""]
    lines += _plain_table(["Sample", "S ppm", "Zn ppm", "Mn ppm", "Fe ppm", "Cu ppm", "B ppm"], found, micro)
    return _made("\n".join(lines) + "\n", found, (*macro, *micro))


def _plain_table(heads: Sequence[str], found: Sequence[Bag], keys: Sequence[str]) -> list[str]:
    lines = ["".join(f"{head:<10}" for head in heads)]
    return lines + [f"{bag.name:<10}" + "".join(f"{bag.values[key]:<10}" for key in keys) for bag in found]


@report("text-doubtful/detection-limits.txt")
def limits() -> Made:
    found = bags(["W-1", "W-2"], "limits")
    changed = [{"p": "<2.0", "cu": "<0.1"}, {"p": ">100", "cu": "0.3"}]
    found = [bag.has(values={**bag.values, **new}) for bag, new in zip(found, changed, strict=True)]
    keys = ("ph", "p", "k", "cu")
    lines = ["Soil test", "", *_plain_table(["Sample", "pH", "P mg/kg", "K mg/kg", "Cu mg/kg"], found, keys)]
    lines += [
        "LOD           -         2.0       1         0.1",
        "",
        "Average       6.2       55        180       0.2",
    ]
    return _made("\n".join(lines) + "\n", found, keys)


@report("text-languages/german.txt")
def german() -> Made:
    oxide = items(
        ph=Item("ph", method="cacl2"), p=Item("phosphorus", "mg/(100.g)", "P2O5", "cal"),
        k=Item("potassium", "mg/(100.g)", "K2O", "cal"), mg=Item("magnesium", "mg/(100.g)", "", "cacl2"),
    )  # fmt: skip
    found = [
        Bag("Beet Süd", {"ph": "6,4", "p": "23", "k": "18", "mg": "11", "om": "3,8"}, items=oxide),
        Bag("Beet Nord", {"ph": "5,9", "p": "41", "k": "32", "mg": "9", "om": "4,2"}, items=oxide),
    ]
    found = [
        bag.has(
            sampled_on="2021-03-05",
            basis="sampled",
            depth=("0", "30"),
            lab="Bodenlabor Hainbach",
            report="2021-118",
        )
        for bag in found
    ]
    blocks = []
    for bag in found:
        v = bag.values
        blocks.append(f"""Probenbezeichnung: {bag.name}
Entnahmetiefe: 0-30 cm

Untersuchung              Ergebnis   Einheit          Gehaltsklasse
pH-Wert (CaCl2)           {v["ph"]:<11}                 C
Phosphor (P2O5, CAL)      {v["p"]:<11}mg/100 g         D
Kalium (K2O, CAL)         {v["k"]:<11}mg/100 g         C
Magnesium (CaCl2)         {v["mg"]:<11}mg/100 g         C
Humus                     {v["om"]:<11}%
""")
    head = "Bodenlabor Hainbach\nPrüfbericht Nr.: 2021-118\nProbenahme: 05.03.2021\nBodenuntersuchung\n\n"
    return _made(head + "\n".join(blocks), found, ("ph", "p", "k", "mg", "om"), "cp1252")


@report("text-languages/french.txt")
def french() -> Made:
    oxide = items(
        ph=Item("ph", method="water"), p=Item("phosphorus", PPM, "P2O5", "olsen"), k=Item("potassium", PPM, "K2O"),
        mg=Item("magnesium", PPM, "MgO"), ca=Item("calcium", PPM, "CaO"), om=Item("organic_matter", "g/kg"),
    )  # fmt: skip
    bag = Bag(
        "Planche 3", {"ph": "6,8", "om": "32,5", "p": "118", "k": "241", "mg": "163", "ca": "3120", "cec": "14,2"},
        "2022-02-17", "sampled", ("0", "25"), "Laboratoire du Val Clair", "22-0417", oxide,
    )  # fmt: skip
    v = bag.values
    text = f"""Laboratoire du Val Clair
ANALYSE DE TERRE
Rapport n° : 22-0417
Date de prélèvement : 17/02/2022      Date du rapport : 28/02/2022
Parcelle : Planche 3
Profondeur : 0-25 cm

Paramètre                     Résultat   Unité      Souhaitable   Appréciation
pH eau                        {v["ph"]:<11}           6,5 - 7,2     satisfaisant
Matière organique             {v["om"]:<11}g/kg       25 - 35       satisfaisant
P2O5 Olsen                    {v["p"]:<11}mg/kg      60 - 90       élevé
K2O échangeable               {v["k"]:<11}mg/kg      180 - 260     satisfaisant
MgO échangeable               {v["mg"]:<11}mg/kg      100 - 180     satisfaisant
CaO échangeable               {v["ca"]:<11}mg/kg      2500 - 4000   satisfaisant
CEC                           {v["cec"]:<11}meq/100 g  12 - 20       moyen
"""
    return _made(text, [bag], ("ph", "om", "p", "k", "mg", "ca", "cec"))


@report("text-languages/spanish.txt")
def spanish() -> Made:
    found = bags(["Bancal 1", "Bancal 2"], "spanish", sampled_on="2023-11-21", basis="sampled", lab="Laboratorio Rivera Alta", report="R-552",
                 items=by_method(p="olsen", om="walkley_black"))  # fmt: skip
    keys = ("ph", "om", "p", "k", "cec")
    rows = []
    for bag in found:
        v = comma(bag.values)
        rows.append(f"{bag.name:<12}{v['ph']:>6}{v['om']:>12}{v['p']:>14}{v['k']:>12}{v['cec']:>14}")
    text = """Laboratorio Rivera Alta
Análisis de suelo
Informe n.º: R-552
Fecha de muestreo: 21/11/2023

Muestra         pH        M.O.       P Olsen           K           CIC
                             %         mg/kg       mg/kg     meq/100 g
"""
    note = "\nMateria orgánica por Walkley-Black.\n"
    return _made(text + "\n".join(rows) + "\n" + note, found, keys)


@report("text-recommendations/rates-below.txt")
def rates() -> Made:
    [bag] = bags(
        ["Hoop house"],
        "rates",
        sampled_on="2019-04-22",
        basis="sampled",
        depth=INCHES_6,
        items=by_method(p="bray_p1"),
    )
    v = bag.values
    text = f"""Soil Test Report
Sample ID: Hoop house          Date sampled: 04/22/2019
Sample depth: 0-6 in

Results
pH                   {v["ph"]}
Organic matter       {v["om"]} %
Phosphorus (Bray P1) {v["p"]} ppm
Potassium            {v["k"]} ppm
CEC                  {v["cec"]} meq/100g

Recommendations (lb/1000 sq ft) for vegetables
Nitrogen (N)         2.0
Phosphate (P2O5)     1.5
Potash (K2O)         0.8
Lime                 50
"""
    return _made(text, [bag], ("ph", "om", "p", "k", "cec"))


@report("text-history/years-in-columns.txt")
def history() -> Made:
    years = ("2021-04-14", "2022-04-12", "2023-04-18")
    found = [Bag("Bed 7", soil(f"history/{day}"), day, "sampled") for day in years]
    keys = ("ph", "om", "p", "k", "mg")
    lines = [
        "Soil test history",
        "Sample: Bed 7",
        "",
        f"{'Test':<26}" + "".join(f"{day:>14}" for day in years),
    ]
    for key in keys:
        name = f"{NAMES[key]} {_unit(key)}"
        lines.append(f"{name:<26}" + "".join(f"{bag.values[key]:>14}" for bag in found))
    return _made("\n".join(lines) + "\n", found, keys)


@report("text-mixed/compost-and-water-mentioned.txt")
def mentions() -> Made:
    [bag] = bags(["Squash hill"], "mentions", sampled_on="2022-05-02", basis="sampled")
    keys = ("ph", "om", "p", "k")
    v = bag.values
    text = f"""Soil test results
Sample: Squash hill
Sampled: 2 May 2022

pH               {v["ph"]}
Organic Matter   {v["om"]} %
Phosphorus       {v["p"]} ppm
Potassium        {v["k"]} ppm

Comments
Finished compost from good feedstock keeps organic matter up; a compost test tells its maturity.
Have your irrigation water tested for alkalinity and hardness; a water analysis costs little.
Do not add manure before a manure test. Leaf analysis in July shows what the plants take up.
"""
    return _made(text, [bag], keys)
