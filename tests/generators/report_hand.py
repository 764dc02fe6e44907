"""Reports typed by hand, and what a careful person copies out of them, typed by hand too."""

from tests.generators.report_common import COLUMNS, Made, Row, report


def _rows(table: str, **same: str) -> list[Row]:
    """Return rows from lines of sample, day, analyte, value, unit and method; a dot stands for nothing."""
    names = ("sample", "sampled_on", "analyte", "value", "unit", "method")
    rows = []
    for line in table.strip().splitlines():
        told = dict(
            zip(names, ("" if cell == "." else cell.strip() for cell in line.split("|")), strict=True)
        )
        basis = {"date_basis": "sampled"} if told["sampled_on"] else {}
        rows.append({name: {**basis, **same, **told}.get(name, "") for name in COLUMNS})
    return rows


STATE_SHEET = """Soil Test Report for: Bed 3
Collected 2022-04-11; received 2022-04-14; reported 2022-04-20
Lab: Brindle Hill Soil Lab   Report: BH-9921

Measurement          Value   Optimal Range   Category
------------------------------------------------------
Soil pH (1:1)        6.3     6.0-7.0         Optimum
Modified Morgan extractable, ppm
  Phosphorus (P)     14.2    4-14            Above Optimum
  Potassium (K)      212     100-160         Above Optimum
  Calcium (Ca)       1520    1000-1500       Above Optimum
  Magnesium (Mg)     188     50-120          Above Optimum
  Sulfur (S)         9.8     >10             Low
Micronutrients, ppm
  Boron (B)          0.3     0.1-0.5
  Zinc (Zn)          4.1     1.0-7.6
Cation Exch. Capacity, meq/100g   13.4
Exch. Acidity, meq/100g   2.6
Base Saturation, %
  Calcium Base Saturation    57    50-80
  Magnesium Base Saturation  12    10-30
  Potassium Base Saturation  4     2.0-7.0
Organic Matter, %    6.8     3-8
Lead (Pb), ppm       18      <22
"""


@report("text-hand/state-sheet.txt")
def state_sheet() -> Made:
    rows = _rows(
        """
Bed 3|2022-04-11|ph|6.3|.|water_1_1
Bed 3|2022-04-11|phosphorus|14.2|mg/kg|modified_morgan
Bed 3|2022-04-11|potassium|212|mg/kg|modified_morgan
Bed 3|2022-04-11|calcium|1520|mg/kg|modified_morgan
Bed 3|2022-04-11|magnesium|188|mg/kg|modified_morgan
Bed 3|2022-04-11|sulfur|9.8|mg/kg|modified_morgan
Bed 3|2022-04-11|boron|0.3|mg/kg|.
Bed 3|2022-04-11|zinc|4.1|mg/kg|.
Bed 3|2022-04-11|cec|13.4|meq/(100.g)|.
Bed 3|2022-04-11|exchangeable_acidity|2.6|meq/(100.g)|.
Bed 3|2022-04-11|base_saturation_ca|57|%|.
Bed 3|2022-04-11|base_saturation_mg|12|%|.
Bed 3|2022-04-11|base_saturation_k|4|%|.
Bed 3|2022-04-11|organic_matter|6.8|%|.
Bed 3|2022-04-11|lead|18|mg/kg|.
""",
        lab="Brindle Hill Soil Lab",
        report="BH-9921",
    )
    return STATE_SHEET.encode(), rows


MAIL = """Hi Rosa,

Results for the three beds you sent (sampled 14 March 2024, lab no. 7741-7743):

Bed 1: pH 6.4, OM 4.2%, P 55 ppm, K 180 ppm
Bed 2: pH 6.8, OM 3.9%, P 61 ppm, K 199 ppm
Bed 3: pH 5.9, OM 5.5%, P 40 ppm, K 95 ppm

P and K by Mehlich-3.

Best, Tom (Calder Soil Lab)
"""


@report("text-hand/results-in-sentences.txt")
def sentences() -> Made:
    rows = _rows(
        """
Bed 1|2024-03-14|ph|6.4|.|.
Bed 1|2024-03-14|organic_matter|4.2|%|.
Bed 1|2024-03-14|phosphorus|55|mg/kg|mehlich_3
Bed 1|2024-03-14|potassium|180|mg/kg|mehlich_3
Bed 2|2024-03-14|ph|6.8|.|.
Bed 2|2024-03-14|organic_matter|3.9|%|.
Bed 2|2024-03-14|phosphorus|61|mg/kg|mehlich_3
Bed 2|2024-03-14|potassium|199|mg/kg|mehlich_3
Bed 3|2024-03-14|ph|5.9|.|.
Bed 3|2024-03-14|organic_matter|5.5|%|.
Bed 3|2024-03-14|phosphorus|40|mg/kg|mehlich_3
Bed 3|2024-03-14|potassium|95|mg/kg|mehlich_3
""",
        lab="Calder Soil Lab",
    )
    return MAIL.encode(), rows


YEARS = """Sample: Bed 9                Sampled: 2023-03-02
                   2021      2022      2023
pH                 6.1       6.3       6.4
Organic matter %   3.9       4.0       4.4
Phosphorus ppm     44        49        51
"""


@report("text-hand/years-over-columns.txt")
def years() -> Made:
    """Earlier years have reports of their own: only the year of the report's own date is this report's."""
    rows = _rows(
        """
Bed 9|2023-03-02|ph|6.4|.|.
Bed 9|2023-03-02|organic_matter|4.4|%|.
Bed 9|2023-03-02|phosphorus|51|mg/kg|.
"""
    )
    return YEARS.encode(), rows


RATINGS = """Parameter,Unit,Bed A,Bed A rating,Bed B,Bed B rating,Target
pH,,6.4,OK,6.8,OK,6.5
OM,%,4.2,High,3.9,Medium,5
P (Olsen),mg/kg,55,4,61,5,30
"""


@report("csv-hand/numbers-as-ratings.csv")
def ratings() -> Made:
    rows = _rows(
        """
Bed A|.|ph|6.4|.|.
Bed B|.|ph|6.8|.|.
Bed A|.|organic_matter|4.2|%|.
Bed B|.|organic_matter|3.9|%|.
Bed A|.|phosphorus|55|mg/kg|olsen
Bed B|.|phosphorus|61|mg/kg|olsen
"""
    )
    return RATINGS.encode(), rows
