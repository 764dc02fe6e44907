"""Papers that are no soil tests: other analyses, an invoice, a price list, a page of prose."""

# ruff: noqa: E501 (rows of printed tables read best on one line)

import csv
import io

from tests.generators.report_canvas import drawn
from tests.generators.report_chromium import RULES, printed, rows_html
from tests.generators.report_common import Made, report


@report("not-soil/plant-tissue.csv")
def tissue() -> Made:
    stream = io.StringIO()
    rows = [["Plant tissue analysis"], ["Laboratory", "Merrow Plant Lab"], ["Crop", "Tomato", "Plant part", "leaf"], ["Growth stage", "first flower"],
            ["Sample", "N %", "P %", "K %", "Ca %", "Mg %", "B ppm", "Zn ppm"], ["House 1", "4.2", "0.41", "3.8", "2.1", "0.5", "38", "29"]]  # fmt: skip
    csv.writer(stream).writerows(rows)
    return stream.getvalue().encode(), []


@report("not-soil/plant-tissue.pdf")
def tissue_pdf() -> Made:
    rows = [
        ["Element", "Result", "Unit", "Sufficiency range"],
        ["Nitrogen", "3.9", "%", "3.5 - 5.0"],
        ["Phosphorus", "0.35", "%", "0.3 - 0.6"],
        ["Potassium", "2.9", "%", "2.5 - 4.0"],
        ["Zinc", "31", "ppm", "20 - 60"],
    ]
    body = f"<h2>Leaf analysis report</h2><p>Crop: Cucumber. Plant part: youngest full leaf</p><p>Sample: House 2</p><table>{rows_html(rows)}</table>"
    return printed(body, RULES), []


@report("not-soil/water.txt")
def water() -> Made:
    text = """Irrigation water analysis
Sample: Well 1      Sampled: 3 June 2022

pH                    7.6
Conductivity          0.62 dS/m
Bicarbonate           188 mg/L
Calcium               64 mg/L
Magnesium             11 mg/L
Sodium                22 mg/L
Boron                 0.05 mg/L
Total hardness        205 mg/L as CaCO3
Alkalinity            154 mg/L as CaCO3
"""
    return text.encode(), []


@report("not-soil/manure.pdf")
def manure() -> Made:
    lines = ("Manure analysis report", "Sample: goat bedding", "Moisture   61.2 %", "Total N   11.4 lb/ton", "Phosphate P2O5   7.1 lb/ton",
             "Potash K2O   9.9 lb/ton", "First year availability of N 35 %", "All results on an as received basis")  # fmt: skip

    def draw(c: object) -> None:
        for n, line in enumerate(lines):
            c.drawString(60, 780 - 18 * n, line)  # type: ignore[attr-defined]

    return drawn(draw), []


@report("not-soil/compost.csv")
def compost() -> Made:
    text = """Compost analysis
Sample,Batch 7
Feedstock,leaves and kitchen scraps
Test,Result,Unit
pH,7.4,
Organic matter,38.2,% dry
Total nitrogen,1.6,% dry
C:N ratio,13.8,
Conductivity,3.1,dS/m
Maturity index,6,
Respiration rate,2.2,mg CO2-C/g/day
"""
    return text.encode(), []


@report("not-soil/invoice.pdf")
def invoice() -> Made:
    rows = [
        ["Qty", "Item", "Unit price", "Amount"],
        ["8", "Soil test with organic matter", "22.00", "176.00"],
        ["2", "pH and buffer pH", "9.00", "18.00"],
        ["", "Subtotal", "", "194.00"],
    ]
    body = f"<h1>INVOICE</h1><p>Invoice No: 2023-0981</p><p>Bill to: Wrenfield Market Garden</p><table>{rows_html(rows)}</table><p>Amount due: 194.00 within 30 days</p>"
    return printed(body, RULES), []


@report("not-soil/price-list.txt")
def prices() -> Made:
    text = """Price list 2024
Prices valid from 1 January. Turnaround 10 days.

Test package                                     Price per sample
Basic soil: pH, P, K, Ca, Mg                     18.00
With organic matter                              24.00
Nitrate-N                                        8.50
Micronutrients: Zn, Mn, Cu, Fe, B                12.00
"""
    return text.encode(), []


@report("not-soil/prose.txt")
def prose() -> Made:
    text = """How we look after our beds

A pH of 6.5 suits most vegetables. In 2019 we put 40 barrows of compost on the bean beds, and the next
spring the beans were up 12 days earlier. Potassium matters to tomatoes; phosphorus to young roots.
"Feed the soil," my neighbour says, "and 3 years later it feeds you."
"""
    return text.encode(), []


@report("not-soil/prose.pdf")
def prose_pdf() -> Made:
    lines = (
        "Newsletter of the allotment society, spring 2023",
        "",
        "The annual meeting is on 14 May at 7 pm in the hall.",
        "Bring seeds to swap; last year we had 60 kinds of beans.",
        "Tea costs 1.50.",
    )

    def draw(c: object) -> None:
        for n, line in enumerate(lines):
            c.drawString(60, 780 - 18 * n, line)  # type: ignore[attr-defined]

    return drawn(draw), []
