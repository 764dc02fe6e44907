"""Declared layouts: what they let the reader read, and how a wrong one is told."""

import re
from pathlib import Path

import pytest

from soiltrend.errors import RecordsError
from soiltrend.intake import take_in
from soiltrend.layout import ReportReading, load_layouts, read_report
from soiltrend.readers import open_document

# The worked example of the README: the layout, and a report that says nothing without it.
LAYOUT = """\
recognise = ["Fernhollow Soil Service"]
lab = "Fernhollow Soil Service"
ignore = ["Vigour index", "House standard"]

[analytes]
"Living carbon" = { analyte = "organic_carbon", unit = "%", method = "walkley_black" }
"Root phosphate" = { analyte = "phosphorus", form = "P2O5", unit = "mg/100 g", method = "cal" }

[fields]
"Patch" = "sample"
"Dug on" = "date_sampled"

[defaults]
depth = "0-20 cm"
date_order = "month-first"

[defaults.method]
ph = "cacl2"
"""
REPORT = """\
Fernhollow Soil Service,,,,,
Patch,Dug on,pH,Living carbon,Root phosphate,Vigour index
North 1,03/04/2024,6.4,2.31,18,77
North 2,03/04/2024,6.1,2.05,22,64
House standard,03/04/2024,7.0,1.50,10,50
"""


def layout_file(folder: Path, text: str = LAYOUT) -> Path:
    path = folder / "layouts" / "fernhollow.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def reading(folder: Path, report: str, layout: str = LAYOUT) -> ReportReading:
    path = folder / "report.csv"
    path.write_text(report, encoding="utf-8")
    return read_report(open_document(path, folder), load_layouts([layout_file(folder, layout)]))


def test_the_worked_example_reads_every_result_and_no_index(tmp_path: Path) -> None:
    report = reading(tmp_path, REPORT)
    told = [(r.sample, r.analyte, r.form, r.result.number, r.unit, r.method) for r in report.readings]
    assert told == [
        ("North 1", "ph", "", 6.4, "", "cacl2"),
        ("North 1", "organic_carbon", "", 2.31, "%", "walkley_black"),
        ("North 1", "phosphorus", "P2O5", 18.0, "mg/(100.g)", "cal"),
        ("North 2", "ph", "", 6.1, "", "cacl2"),
        ("North 2", "organic_carbon", "", 2.05, "%", "walkley_black"),
        ("North 2", "phosphorus", "P2O5", 22.0, "mg/(100.g)", "cal"),
    ]


def test_what_is_declared_is_marked_and_what_is_printed_stays_as_printed(tmp_path: Path) -> None:
    first = reading(tmp_path, REPORT).readings[1]
    assert "declared" in first.notes
    assert (first.lab, first.depth_from_cm, first.depth_to_cm) == ("Fernhollow Soil Service", 0.0, 20.0)
    assert str(first.sampled_on) == "2024-03-04"
    assert "date-ambiguous" not in first.notes
    assert (first.place, first.unit_printed, first.method_printed) == ("row 3 column Living carbon", "", "")


def test_a_report_of_another_laboratory_is_read_without_it(tmp_path: Path) -> None:
    plain = "Tarnvale Laboratory,,\nSample,pH,Living carbon\nNorth 1,6.4,2.31\n"
    report = reading(tmp_path, plain)
    assert [(r.analyte, r.method, r.depth_to_cm, r.notes) for r in report.readings] == [("ph", "", None, ())]


def test_after_a_declared_report_its_words_mean_nothing_again(tmp_path: Path) -> None:
    reading(tmp_path, REPORT)
    other = reading(tmp_path, REPORT.replace("Fernhollow", "Tarnvale"))
    assert {r.analyte for r in other.readings} <= {"ph"}


def test_what_the_report_prints_wins_over_what_is_declared(tmp_path: Path) -> None:
    printed = REPORT.replace("Living carbon", "Living carbon (g/kg)").replace("pH", "pH (water)")
    found = {r.analyte: r for r in reading(tmp_path, printed).readings}
    assert found["ph"].method == "water"
    assert (found["organic_carbon"].unit, found["organic_carbon"].unit_printed) == ("g/kg", "g/kg")
    assert found["organic_carbon"].method == "walkley_black"


def test_of_two_that_fit_the_one_that_asks_for_more_counts(tmp_path: Path) -> None:
    narrow = layout_file(tmp_path)
    wide = narrow.with_name("wide.toml")
    wide.write_text('recognise = ["Fernhollow"]\nlab = "Another"\n', encoding="utf-8")
    path = tmp_path / "report.csv"
    path.write_text(REPORT, encoding="utf-8")
    report = read_report(open_document(path, tmp_path), load_layouts([wide, narrow]))
    assert {r.lab for r in report.readings} == {"Fernhollow Soil Service"}


MARK = 'recognise = ["F"]'
XYZ = f"{MARK}\n[analytes]\nXyz ="


@pytest.mark.parametrize(
    ("layout", "key", "line", "expected"),
    [
        ('lab = "Fernhollow"', "recognise", None, "a value"),
        ("recognise = []", "recognise", 1, "at least one text"),
        ('recognise = "Fernhollow"', "recognise", 1, "a list of texts"),
        ('recognise = ["--"]', "recognise.0", 1, "words with letters or digits"),
        (f'{MARK}\nunits = "ppm"', "units", 2, "one of recognise, lab, analytes"),
        (f'{XYZ} {{ analyte = "phosphor" }}', "analytes.Xyz.analyte", 3, "phosphorus"),
        (f'{XYZ} {{ unit = "ppm" }}', "analytes.Xyz.analyte", 3, "a value"),
        (f'{XYZ} {{ analyte = "ph", unit = "furlongs" }}', "analytes.Xyz.unit", 3, "a unit"),
        (f'{XYZ} {{ analyte = "ph", method = "mehlich3" }}', "analytes.Xyz.method", 3, "mehlich_3"),
        (f'{XYZ} {{ analyte = "phosphorus", form = "P205" }}', "analytes.Xyz.form", 3, "P2O5"),
        (f'{MARK}\n[fields]\nPatch = "smaple"', "fields.Patch", 3, "one of the fields bed, sample"),
        (f'{MARK}\n[defaults]\ndepth = "6"', "defaults.depth", 3, "a layer with its unit"),
        (f'{MARK}\n[defaults]\ndate_order = "us"', "defaults.date_order", 3, "'day-first' or 'month-first'"),
        (f'{MARK}\n[defaults]\nsoil = "loam"', "defaults.soil", 3, "one of depth, date_order"),
        (f'{MARK}\n[defaults.method]\nfosforus = "olsen"', "defaults.method.fosforus", 3, "phosphorus"),
        ('recognise = ["F"\nlab = "x"', None, 2, "TOML that can be read"),
    ],
)
def test_an_error_names_file_line_key_and_what_was_expected(
    tmp_path: Path, layout: str, key: str | None, line: int | None, expected: str
) -> None:
    with pytest.raises(RecordsError) as raised:
        load_layouts([layout_file(tmp_path, layout)])
    problem = raised.value.problems[0]
    assert (problem.file, problem.column, problem.line) == ("layouts/fernhollow.toml", key, line)
    assert expected in problem.expected


def test_a_file_that_is_no_text_is_named(tmp_path: Path) -> None:
    path = layout_file(tmp_path)
    path.write_bytes(b"\xff\xfe\x00recognise")
    with pytest.raises(RecordsError, match=re.escape("layouts/fernhollow.toml")):
        load_layouts([path])


def test_a_wrong_layout_is_told_before_any_report_is_read(tmp_path: Path) -> None:
    wrong = layout_file(tmp_path, "recognise = []")
    with pytest.raises(RecordsError):
        take_in([], root=tmp_path, layouts=[wrong])


def test_a_layout_is_not_followed_out_of_the_records_folder(tmp_path: Path) -> None:
    outside = tmp_path / "elsewhere.toml"
    outside.write_text(LAYOUT, encoding="utf-8")
    folder = tmp_path / "garden" / "layouts"
    folder.mkdir(parents=True)
    (folder / "link.toml").symlink_to(outside)
    with pytest.raises(RecordsError, match="symbolic link"):
        load_layouts([folder / "link.toml"])
