"""What stands around results: units in footnotes, limits, totals, other years, bills, axes of a drawing."""

import pytest

from soiltrend.layout.footnotes import footnotes_of, mark_of
from soiltrend.layout.kinds import looks_like
from soiltrend.layout.naming import name_in_heading
from tests.layout.bytes_of import read_bytes, read_text, values


@pytest.mark.parametrize(
    ("lines", "heading", "analyte", "unit"),
    [
        (["* mg/l of soil. P and K by Morgan."], "P *", "phosphorus", "mg/l"),
        (["* mg/l of soil."], "P", "phosphorus", ""),
        (["All results in mg/kg."], "K", "potassium", "mg/kg"),
        (["Alle Angaben in mg/100 g"], "K2O", "potassium", "mg/100 g"),
        (["All results in mg/kg.", "Values in lb/A"], "K", "potassium", ""),  # two of them tell nothing
        (["All results in mg/kg.", "Values in ppm"], "K", "potassium", "mg/kg"),
        (["All results in mg/kg."], "pH", "ph", ""),
    ],
)
def test_units_told_below_a_table(lines: list[str], heading: str, analyte: str, unit: str) -> None:
    marks = [mark for mark in [mark_of(heading)] if mark]
    assert footnotes_of(lines).unit_of(marks, analyte) == unit


@pytest.mark.parametrize(
    ("heading", "mark"),
    [
        ("P (2)", "2"), ("P2O52)", "2"), ("Corg ³", "3"), ("pH*", "*"), ("K [1]", "1"), ("Mg", ""),
        ("P (Bray 1)", ""), ("pH (1:1)", ""), ("P1", ""),
    ],
)  # fmt: skip
def test_the_mark_of_a_heading(heading: str, mark: str) -> None:
    assert mark_of(heading) == mark


@pytest.mark.parametrize(
    ("lines", "mark", "analyte", "method"),
    [
        (["(1) in water   (2) Olsen's bicarbonate   (3) 1M ammonium nitrate"], "1", "ph", "water"),
        (["(1) in water   (2) Olsen's bicarbonate   (3) 1M ammonium nitrate"], "2", "phosphorus", "olsen"),
        (["(1) in water   (2) Olsen's (3) 1M ammonium nitrate"], "3", "potassium", "ammonium_nitrate"),
        (["1) CaCl2-Auszug 2) CAL-Methode"], "2", "potassium", "cal"),
        (["¹ Mehlich 3", "² DTPA"], "2", "zinc", "dtpa"),
        (["1 Mehlich 3"], "1", "zinc", "mehlich_3"),  # the mark was raised
        (["* P and K by Olsen, pH in CaCl2"], "*", "ph", "cacl2"),
        (["(1) Olsen"], "1", "organic_matter", ""),  # no method for it
        (["(1) Olsen"], "2", "phosphorus", ""),
    ],
)
def test_methods_told_below_a_table(lines: list[str], mark: str, analyte: str, method: str) -> None:
    assert footnotes_of(lines).method_of([mark], analyte)[0] == method


def test_a_starred_heading_takes_the_unit_of_its_footnote() -> None:
    reading = read_text(
        "Soil analysis\nField       pH     P *     K *\nBog road   5.7     2.4     61\n"
        "Fort       5.9     3.6     74\n"
        "\n* mg/l of soil.\n"
    )
    assert values(reading)["Fort", "phosphorus"] == (3.6, "mg/L")


def test_not_detected_takes_the_limit_of_its_row() -> None:
    reading = read_bytes(
        b"Parameter,Unit,Bed A,Bed B,LOD\npH,,6.3,6.6,\nNitrate-N,mg/kg,ND,12,1\n"
        b"Potassium,mg/kg,188,203,10\n",
        "report.csv",
    )
    found = {(r.sample, r.analyte): (r.result.qualifier, r.result.number) for r in reading.readings}
    assert found["Bed A", "nitrate_n"] == ("<", 1.0)
    assert found["Bed B", "nitrate_n"] == ("", 12.0)


def test_a_sign_apart_from_its_number_stays_with_it() -> None:
    reading = read_text(
        "Soil test\nSample   Mn ppm   B ppm\nBed 1     39      < 0.2\nBed 2     41        0.6\n"
        "Bed 3     38      < 0.2\n"
    )
    found = {(r.sample, r.analyte): (r.result.qualifier, r.result.number) for r in reading.readings}
    assert found["Bed 1", "manganese"] == ("", 39.0)
    assert found["Bed 1", "boron"] == ("<", 0.2)


def test_years_of_other_reports_are_left_to_them() -> None:
    reading = read_text(
        "Soil test\nField: Oxbow\nDate sampled: 10/19/2023\n\nTest          2023    2020    Unit\n"
        "pH             6.4     6.2\nPotassium      262     252    ppm\n"
    )
    assert {(r.analyte, r.result.number) for r in reading.readings} == {("ph", 6.4), ("potassium", 262.0)}
    assert {left.text for left in reading.left_alone} >= {"6.2", "252"}


def test_years_count_where_no_other_date_is_told() -> None:
    reading = read_text(
        "Soil test\nField: Oxbow\n\nTest          2023    2020    Unit\npH             6.4     6.2\n"
        "Potassium      262     252    ppm\n"
    )
    assert len(reading.readings) == 4


def test_a_total_over_layers_is_no_layer() -> None:
    reading = read_text(
        "Soil test\nField: Home\nDepth        Nitrate-N   Sulfate-S\ninches       lb/ac       lb/ac\n"
        "0-6           18          22\n6-12           9          31\nTotal 0-12    27          53\n"
    )
    assert sorted(r.result.number or 0 for r in reading.readings) == [9, 18, 22, 31]


def test_the_axis_of_a_drawing_is_left_alone() -> None:
    reading = read_text(
        "Soil test\nSample: Plot 9\npH    6.4\nPotassium   160 ppm\n\n\n"
        "   Organic matter, %     Phosphorus, ppm\n"
        "       4.4                   55\n       4.2                   50\n       4.0                   45\n"
        "       3.8                   40\n"
    )
    assert {r.analyte for r in reading.readings} == {"ph", "potassium"}


def test_boxes_with_their_label_above() -> None:
    reading = read_text(
        "Soil test\nSample name        Sampled          Reported\n"
        "Front lawn         04/23/2022       05/13/2022\n\npH         6.4\nPotassium  160 ppm\n"
    )
    assert {(r.sample, str(r.sampled_on)) for r in reading.readings} == {("Front lawn", "2022-04-23")}


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Sample Transect A, layer 0-10 cm", "Transect A"), ("Bed 4 (0-15 cm)", "Bed 4"), ("Bed 4", "Bed 4"),
        ("Sample 3", "Sample 3"), ("North bed", "North bed"),
    ],
)  # fmt: skip
def test_a_name_in_a_line_over_results(line: str, name: str) -> None:
    assert name_in_heading(line) == name


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        (["Dalewood Soil & Water Testing", "Paddock  pH  EC"], "soil test"),
        (["Labor für Boden- und Wasseranalysen", "Schlag  pH  Humus"], "soil test"),
        (["Irrigation water analysis", "pH 7.2", "Alkalinity 120"], "water analysis"),
        (["Tax invoice", "Qty  Unit  Amount", "Subtotal 12.00", "GST 1.80"], "invoice"),
    ],
)
def test_a_laboratory_that_tests_water_too_tests_soil(lines: list[str], kind: str) -> None:
    assert looks_like(lines) == kind


def test_a_line_that_goes_on_in_small_letters_names_no_sample() -> None:
    reading = read_text(
        "Dear grower, your soil sample was tested for metals by aqua\n"
        "regia: total lead 186 mg/kg, total arsenic 17 mg/kg\n"
    )
    assert "regia" not in {r.sample for r in reading.readings}


def test_cations_under_base_saturation_are_shares_and_a_unit_in_the_cell_goes_before_the_section() -> None:
    reading = read_text(
        "Soil test\nSample: Bed 1\nBase saturation (%)\nK             3.1\nMg           12.0\n"
        "P            40 ppm\n"
        "Mehlich-3, ppm\nOrganic matter   4.2 %\nCEC              12 meq/100g\n"
    )
    assert {(r.analyte, r.result.number, r.unit) for r in reading.readings} == {
        ("base_saturation_k", 3.1, "%"), ("base_saturation_mg", 12.0, "%"), ("phosphorus", 40.0, "mg/kg"),
        ("organic_matter", 4.2, "%"), ("cec", 12.0, "meq/(100.g)"),
    }  # fmt: skip


def test_autumn_samples_reported_in_january_are_this_reports() -> None:
    reading = read_text(
        "Soil test\nField: Oxbow\nDate reported: 01/22/2023\n\nTest          2022    2020    Unit\n"
        "pH             6.4     6.2\nPotassium      262     252    ppm\n"
    )
    assert {(r.analyte, r.result.number) for r in reading.readings} == {("ph", 6.4), ("potassium", 262.0)}


def test_a_legend_below_the_table_tells_methods_though_it_looks_like_a_row() -> None:
    report = read_text("""Soil report

FIELD          SOIL PH  BUFFER PH   K LB/A
RIVER BOTTOM     5.9       6.6       276
HILL E           5.4       6.3       192

BUFFER PH = SMP   -- = NOT RUN
""")
    assert {r.method for r in report.readings if r.analyte == "buffer_ph"} == {"smp"}


def test_a_run_of_elements_told_by_its_first_and_last_names_all_that_is_extracted() -> None:
    report = read_text("""Soil report
Sample: Raised beds

Phosphorus, ppm    11.9
Potassium, ppm     169
Organic matter, %  11.8
Lead, ppm          1.2

Phosphorus through lead were extracted with the Modified Morgan solution.
""")
    found = {r.analyte: r.method for r in report.readings}
    extracted = dict.fromkeys(("phosphorus", "potassium", "lead"), "modified_morgan")
    assert found == {**extracted, "organic_matter": ""}


def test_boxes_of_fields_may_hold_one_that_says_nothing_known() -> None:
    report = read_text("""Soil test report for: Lorna Tarn, RD 4

DATE RECEIVED    LAB NO.      FIELD ID          ACRES    PLOUGHED
04/16/2001       S01-06632    Upper Orchard     4        fall

pH                     6.4
Phosphorus (P) ppm     84
""")
    assert {(r.sample, str(r.sampled_on)) for r in report.readings} == {("Upper Orchard", "2001-04-16")}


def test_a_unit_may_stand_on_two_lines_below_a_name() -> None:
    report = read_text("""Bodenuntersuchung
Probenahme am: 08.10.1999

Probe           pH        P2O5     K2O      Humus
                (CaCl2)   mg/      mg/      %
                          100 g    100 g
Parzelle 8      6,7       42       31       4,9
Parzelle 11     7,1       77       54       6,3
""")
    printed = {(r.sample, r.form, r.value_printed, r.unit_printed) for r in report.readings if r.form}
    assert printed == {
        ("Parzelle 8", "P2O5", "42", "mg/100 g"), ("Parzelle 8", "K2O", "31", "mg/100 g"),
        ("Parzelle 11", "P2O5", "77", "mg/100 g"), ("Parzelle 11", "K2O", "54", "mg/100 g"),
    }  # fmt: skip
