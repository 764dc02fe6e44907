"""What samples are called: fields from common words, numbers of the laboratory, names over columns."""

import pytest

from soiltrend.layout.naming import is_number_of_lab
from soiltrend.layout.reading import ReportReading
from soiltrend.layout.words import field_of
from tests.layout.bytes_of import read_text


def samples(reading: ReportReading) -> dict[str, float | None]:
    return {r.sample: r.result.number for r in reading.readings if r.analyte == "ph"}


@pytest.mark.parametrize(
    ("label", "field"),
    [
        ("Your sample ref", "sample"), ("Client sample reference", "sample"),
        ("Kunden-Kennzeichnung", "sample"),
        ("Lab sample no", "lab_number"), ("Our lab reference", "lab_number"),
        ("Date sample received", "date_received"), ("Fecha de extracción", "date_sampled"),
        ("Date of sampling", "date_sampled"), ("Prélèvements du", "date_sampled"),
        ("Field name", "field"), ("Sampling depth", "depth"), ("DATESAMPLED", "date_sampled"),
        # a person, what was tested and who took it are no sample and no date
        ("Client name", ""), ("Your name", ""), ("Sampled by", ""), ("Soil analysis", ""),
        ("Sample type", ""),
    ],
)  # fmt: skip
def test_fields_put_together_from_common_words(label: str, field: str) -> None:
    assert field_of(label) == field


@pytest.mark.parametrize(
    ("sample", "expected"),
    [
        ("401277", True), ("T24-0611", True), ("611/1", True), ("FG0338/01", True), ("873-1", True),
        ("12", False), ("Bed 3", False), ("North-1", False), ("B-2", False), ("PLOT-12", False),
    ],
)  # fmt: skip
def test_numbers_that_a_laboratory_gives(sample: str, expected: bool) -> None:
    assert is_number_of_lab(sample) is expected


def test_a_place_goes_before_the_number_of_the_laboratory() -> None:
    rows = "Sample no;Plot;Depth (cm);pH\nT24-0611;Long border;0-20;6.4\nT24-0612;Long border;20-40;6.1\n"
    assert set(samples(read_text(rows, "export.csv"))) == {"Long border"}


def test_the_number_counts_where_two_samples_of_one_layer_share_a_place() -> None:
    rows = "Sample no;Plot;Depth (cm);pH\nT24-0611;Long border;0-20;6.4\nT24-0612;Long border;0-20;6.1\n"
    assert samples(read_text(rows, "export.csv")) == {"T24-0611": 6.4, "T24-0612": 6.1}


def test_of_two_columns_of_samples_the_one_in_words_names_them() -> None:
    rows = "Proben-Nr.;Bezeichnung;pH (CaCl2)\n1;Gewächshaus;6,9\n2;Beet Süd;6,6\n"
    assert samples(read_text(rows, "befund.csv")) == {"Gewächshaus": 6.9, "Beet Süd": 6.6}


def test_rows_are_named_by_an_empty_corner() -> None:
    table = "                  pH    OM %\nRaised bed A      7.0    9.8\nOld compost       6.8   17.5\n"
    assert samples(read_text(f"Soil test results\n\n{table}")) == {"Raised bed A": 7.0, "Old compost": 6.8}


def test_names_over_columns_may_run_over_two_lines_and_a_number_stand_below() -> None:
    head = "Soil analysis\n\n                  Paddock      Walled\n                  by church    garden\n"
    two = read_text(head + "pH (water)        5.8          7.1\nK mg/l            131          604\n")
    assert samples(two) == {"Paddock by church": 5.8, "Walled garden": 7.1}
    head = (
        "Soil analysis\n\n                  Bed 2        Cut flowers\n                  (3391)       (3392)\n"
    )
    numbered = read_text(head + "pH                6.6          7.3\nK ppm             201          433\n")
    assert samples(numbered) == {"Bed 2": 6.6, "Cut flowers": 7.3}


def test_a_name_in_quotation_marks_in_a_letter() -> None:
    letter = (
        'the analysis of your soil sample "Long border" (taken on 3 March 2020) gave:\n\npH (water)   7.3\n'
    )
    reading = read_text(f"Soil laboratory\n\n{letter}Phosphorus (P)   52 mg/kg\n")
    assert samples(reading) == {"Long border": 7.3}
    assert {str(r.sampled_on) for r in reading.readings} == {"2020-03-03"}


def test_ratings_between_rows_name_no_samples() -> None:
    rows = "Sample,,Creek,Hill\npH,,5.6,6.2\nP,ppm,22,64\nP rating,,L,H\nK,ppm,88,152\nK rating,,L,M\n"
    reading = read_text(rows + "Ca,ppm,640,1105\n", "soil test.csv")
    assert {r.sample for r in reading.readings} == {"Creek", "Hill"}
    assert {r.analyte for r in reading.readings} == {"ph", "phosphorus", "potassium", "calcium"}


def test_the_layer_may_stand_below_the_lines_of_a_name() -> None:
    head = "Soil report\n\n                  Alfalfa     Seed\n                  Pivot 2     Onion\n"
    head += "                  0-12 in     0-12 in\n"
    reading = read_text(
        head + "pH                    7.6         7.8\nPotassium, ppm        378         302\n"
    )
    assert samples(reading) == {"Alfalfa Pivot 2": 7.6, "Seed Onion": 7.8}
    assert {r.depth_to_cm for r in reading.readings} == {30.48}
