"""What a report says twice or adds up itself: agreement is told, contradiction is marked."""

import pytest

from soiltrend.layout.reading import Reading, ReportReading
from tests.layout.bytes_of import read_bytes

FAILED = "self-check-failed"


def read(text: str) -> ReportReading:
    return read_bytes(text.encode(), "any.csv")


def only(report: ReportReading, analyte: str) -> Reading:
    (one,) = [reading for reading in report.readings if reading.analyte == analyte]
    return one


# lab_methods 2.3: saturations including H total 100 ± 1; DERIVED there
@pytest.mark.parametrize(("hydrogen", "noted"), [("12.0", False), ("12.9", False), ("18.0", True)])
def test_saturations_total_100(hydrogen: str, noted: bool) -> None:
    report = read(f"Sample,K %,Mg %,Ca %,H %\nBed 1,3.0,15.0,70.0,{hydrogen}\n")
    assert len(report.readings) == 4
    for one in report.readings:
        assert (FAILED in one.notes) is noted
        assert "total" in one.reason


@pytest.mark.parametrize(("clay", "noted"), [("20", False), ("25", True)])
def test_sand_silt_and_clay_total_100(clay: str, noted: bool) -> None:
    report = read(f"Sample,Sand %,Silt %,Clay %\nBed 1,45,35,{clay}\n")
    assert {(FAILED in one.notes) for one in report.readings} == {noted}


# 1 meq/100 g of K is 390.98 mg/kg: lab_methods 1.2, from the atomic weight 39.098
@pytest.mark.parametrize(("meq", "noted"), [("0.50", False), ("0.05", True), ("5.0", True)])
def test_meq_beside_ppm_is_one_result_and_a_check_on_it(meq: str, noted: bool) -> None:
    report = read(f"Sample,K ppm,K meq/100g\nBed 1,195,{meq}\n")
    one = only(report, "potassium")
    assert (one.unit, one.result.number) == ("mg/kg", 195.0)
    assert (FAILED in one.notes) is noted
    assert [left.text for left in report.left_alone] == [meq]
    assert "same result" in report.left_alone[0].reason


# lb/acre on the furrow slice of two million pounds is 2 × ppm: lab_methods 1.3
@pytest.mark.parametrize(("pounds", "noted"), [("90", False), ("45", True)])
def test_pounds_beside_ppm(pounds: str, noted: bool) -> None:
    report = read(f"Sample,P ppm,P lb/acre\nBed 1,45,{pounds}\n")
    one = only(report, "phosphorus")
    assert (one.unit, one.result.number) == ("mg/kg", 45.0)
    assert (FAILED in one.notes) is noted


# P2O5 is 2.2913 × P: lab_methods 1.1
@pytest.mark.parametrize(("oxide", "noted"), [("22.9", False), ("10.0", True)])
def test_an_oxide_beside_its_element(oxide: str, noted: bool) -> None:
    report = read(f"Sample,P mg/kg,P2O5 mg/kg\nBed 1,10.0,{oxide}\n")
    one = only(report, "phosphorus")
    assert (one.form, one.result.number) == ("", 10.0)
    assert (FAILED in one.notes) is noted


def test_the_cec_and_a_saturation_confirm_the_cation() -> None:
    report = read("Sample,CEC meq/100g,Ca ppm,Ca %\nBed 1,10.0,1403,70.0\n")  # 10 × 0.70 × 200.39 = 1402.7
    assert "agrees" in only(report, "calcium").reason
    assert only(report, "calcium").confirmed


def test_two_methods_of_one_analyte_are_two_results() -> None:
    report = read("Sample,P (Bray P1) ppm,P (Olsen) ppm\nBed 1,45,22\n")
    assert {(one.method, one.result.number) for one in report.readings} == {
        ("bray_p1", 45.0),
        ("olsen", 22.0),
    }
    assert not any(one.notes for one in report.readings)


def test_two_unlike_results_of_one_sample_are_both_doubted() -> None:
    report = read("Sample,pH,OM %\nBed 1,6.5,4.0\nBed 1,5.1,4.0\n")
    assert [one.notes for one in report.readings if one.analyte == "ph"] == [("low-confidence",)] * 2
    assert [one.notes for one in report.readings if one.analyte == "organic_matter"] == [()]


def test_a_cation_in_percent_is_a_saturation_wherever_the_sign_is_printed() -> None:
    for text in ("Sample,K\nBed 1,3.4 %\n", "Sample,K %\nBed 1,3.4\n", "Sample,pH,K\n,,%\nBed 1,6.5,3.4\n"):
        report = read_bytes(text.encode(), "any.csv")
        assert only(report, "base_saturation_k").result.number == 3.4
        assert not [one for one in report.readings if one.analyte == "potassium"]
