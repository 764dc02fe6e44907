"""What stands around results: legends, rows named by units, joint names, sentences, names over columns."""

import pytest

from tests.layout.bytes_of import read_text, values


def test_rows_may_be_units_and_shares_of_one_sample() -> None:
    reading = read_text(
        "Soil Test Report\nSample: North bed\nDate sampled: 03/14/2022\n\n"
        "              K      Ca     Mg     Na\n"
        "ppm           210    1850   190    22\n"
        "% saturation  4.1    70.1   11.9   0.7\n"
        "MAF           5      6      7      8\n"
    )
    found = values(reading)
    assert found["North bed", "calcium"] == (1850, "mg/kg")
    assert found["North bed", "base_saturation_ca"] == (70.1, "%")
    assert len(found) == 8
    assert {left.text for left in reading.left_alone} >= {"5", "6", "7", "8"}


def test_a_legend_tells_what_codes_mean() -> None:
    reading = read_text(
        "FIELD_ID,SAMP_DT,PH_W,BPH_X\nTerrace,4/19/2021,6.2,6.7\nHollow,4/19/2021,5.4,6.3\n\n"
        "PH_W: pH in 1:1 water. BPH_X: Sikora buffer pH (run below pH 6.8).\n",
        "export.csv",
    )
    methods = {(r.sample, r.analyte): r.method for r in reading.readings}
    assert methods["Terrace", "ph"] == "water_1_1"
    assert methods["Hollow", "buffer_ph"] == "sikora"
    assert {str(r.sampled_on) for r in reading.readings} == {"2021-04-19"}


@pytest.mark.parametrize("joint", ["40 / 31 / 29", "40-31-29"])
def test_results_given_together_are_three(joint: str) -> None:
    table = "Test                Unit  Result\npH                        6.4\n"
    found = values(read_text(f"Soil test\nSample: Back field\n\n{table}Sand / Silt / Clay  %     {joint}\n"))
    assert [found["Back field", name][0] for name in ("sand", "silt", "clay")] == [40, 31, 29]


LETTER = (
    "Soil sample: Walled plot (received 18th November 2004, sampled to 20 cm)\n\n"
    "The pH in water is 6.7, which suits vegetables; no lime is needed.\n"
    "Available phosphorus (Olsen) was 68 mg/kg and available potassium 285 mg/kg.\n"
    "Total cadmium was less than 0.5 mg/kg. We suggest keeping the pH above 6.5.\n"
)


def test_a_letter_tells_results_in_sentences_and_they_are_marked() -> None:
    reading = read_text(LETTER)
    assert values(reading) == {
        ("Walled plot", "ph"): (6.7, ""),
        ("Walled plot", "phosphorus"): (68, "mg/kg"),
        ("Walled plot", "potassium"): (285, "mg/kg"),
        ("Walled plot", "cadmium"): (0.5, "mg/kg"),
    }
    assert all("low-confidence" in r.notes for r in reading.readings)
    assert {(str(r.sampled_on), r.depth_to_cm) for r in reading.readings} == {("2004-11-18", 20.0)}
    assert next(r.result.qualifier for r in reading.readings if r.analyte == "cadmium") == "<"


def test_advice_in_sentences_is_no_result() -> None:
    advice = (
        "Soil test of the plot. We suggest a pH of 6.5, phosphorus of 40 mg/kg and potassium of 200 mg/kg.\n"
    )
    assert not read_text(advice).readings


def test_samples_named_over_result_and_level() -> None:
    reading = read_text(
        "<html><body><h2>Soil report</h2><table><tr><th rowspan=2>Analysis</th><th rowspan=2>Unit</th>"
        "<th colspan=2>North bed</th><th colspan=2>Herb spiral</th></tr>"
        "<tr><th>Result</th><th>Level</th><th>Result</th><th>Level</th></tr>"
        "<tr><td>pH</td><td></td><td>6.1</td><td>Low</td><td>7.0</td><td>High</td></tr>"
        "<tr><td>Zinc</td><td>ppm</td><td>2.1</td><td>Low</td><td>3.0</td><td>High</td></tr>"
        "</table></body></html>",
        "portal.html",
    )
    assert values(reading) == {
        ("North bed", "ph"): (6.1, ""), ("Herb spiral", "ph"): (7.0, ""),
        ("North bed", "zinc"): (2.1, "mg/kg"), ("Herb spiral", "zinc"): (3.0, "mg/kg"),
    }  # fmt: skip


def test_samples_named_above_rows_of_fields() -> None:
    reading = read_text(
        "Hilltop Soil Lab,,,Report 22-66,\n,,,North bed,South bed\nLab #,,,66-A,66-B\n"
        '"Depth, inches",,,0-8,0-6\n,,,,\nAnalysis,Units,Method,Result,Result\n'
        "pH,,1:2 water,5.8,6.7\nOrganic matter,%,LOI,5.6,9.3\n",
        "soils.csv",
    )
    assert values(reading)["South bed", "organic_matter"] == (9.3, "%")
    assert {(r.sample, r.depth_to_cm) for r in reading.readings} == {
        ("North bed", 20.32),
        ("South bed", 15.24),
    }


def test_a_sign_in_a_column_of_its_own_counts_whatever_the_column_is_called() -> None:
    reading = read_text(
        "FIELD_ID,TEST,FLAG,RESULT,UNITS\nBed 1,Zinc,<,0.2,ppm\nBed 1,Phosphorus,>,150,ppm\nBed 1,pH,,6.1,\n",
        "lims.csv",
    )
    assert {r.analyte: r.result.qualifier for r in reading.readings} == {
        "zinc": "<",
        "phosphorus": ">",
        "ph": "",
    }


@pytest.mark.parametrize(
    ("column", "cells"),
    [("Orchard", ("Block four", "Old trees")), ("Field and point", ("School A1", "School B2"))],
)
def test_words_name_the_rows_where_no_column_is_called_a_sample(column: str, cells: tuple[str, str]) -> None:
    rows = "".join(f"{number},{cell},6.{number},{number}\n" for number, cell in enumerate(cells, 1))
    reading = read_text(f"Lab no,{column},pH,Zn ppm\n{rows}", "soils.csv")
    assert {r.sample for r in reading.readings} == set(cells)


def test_an_area_names_no_sample() -> None:
    reading = read_text("Lab no,Area ha,pH,Zn ppm\n1,2.4,6.1,2\n2,0.6,6.5,3\n", "soils.csv")
    assert {r.sample for r in reading.readings} == {"1", "2"}


def test_a_column_of_few_words_names_no_rows() -> None:
    rows = "".join(
        f"{number},{'Loam' if number % 3 else 'Clay'},6.{number},{number}\n" for number in range(1, 7)
    )
    reading = read_text(f"Lab no,Ground,pH,Zn ppm\n{rows}", "soils.csv")
    assert {r.sample for r in reading.readings} == set("123456")
