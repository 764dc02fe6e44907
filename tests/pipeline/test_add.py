"""``add``: each value beside the last of its bed, every doubt named, and each report filed once."""

import csv
import io
import shutil
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from soiltrend import cli
from soiltrend.errors import SoiltrendError
from soiltrend.pipeline import file_report, propose

TODAY = date(2026, 11, 1)
OLD = """\
Tarnvale Laboratory,,,,
Sample,Date sampled,pH,Phosphorus (Mehlich 3) ppm,Zinc (DTPA) ppm
North 1,2024-10-05,6.2,41,3.1
North 2,2024-10-05,6.6,55,<0.5
"""
NEW = """\
Tarnvale Laboratory,,,,
Sample,Date sampled,pH,Phosphorus (Mehlich 3) ppm,Zinc (DTPA) ppm
North 1,2025-10-07,6.4,94,3.3
North 2,2025-10-07,6.5,57,0.9
"""


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    folder = tmp_path / "garden"
    (folder / "reports").mkdir(parents=True)
    (folder / "garden.toml").write_text('name = "Trial"\n', encoding="utf-8")
    (folder / "beds.csv").write_text("bed,area_m2\nNorth 1,8\nNorth 2,8\n", encoding="utf-8")
    (folder / "reports" / "2024.csv").write_text(OLD, encoding="utf-8")
    return folder


def incoming(folder: Path, text: str = NEW, name: str = "2025.csv") -> Path:
    path = folder.parent / "post" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def files_of(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "reports").iterdir())


def test_each_value_stands_beside_the_last_one_of_its_bed(garden: Path) -> None:
    shown = {(r["bed"], r["analyte"]): r for r in propose([incoming(garden)], garden, TODAY).records}
    row = shown["North 1", "phosphorus"]
    assert (row["value"], row["last_value"], row["last_on"], row["change"]) == (
        94.0,
        41.0,
        "2024-10-05",
        53.0,
    )
    assert row["doubt"] is None


def test_a_limit_is_no_number_to_take_a_change_from(garden: Path) -> None:
    shown = {(r["bed"], r["analyte"]): r for r in propose([incoming(garden)], garden, TODAY).records}
    zinc = shown["North 2", "zinc"]
    assert (zinc["last_value"], zinc["change"]) == (0.5, None)
    assert zinc["doubt"] == "the last is < the value shown"


def test_the_last_of_the_same_method_counts_before_a_later_one_of_another(garden: Path) -> None:
    other = OLD.replace("Mehlich 3", "Olsen").replace("2024", "2025").replace("41", "19")
    (garden / "reports" / "2025-olsen.csv").write_text(other, encoding="utf-8")
    new = incoming(garden, NEW.replace("2025-", "2026-"))
    shown = {(r["bed"], r["analyte"]): r for r in propose([new], garden, TODAY).records}
    row = shown["North 1", "phosphorus"]
    assert (row["last_value"], row["last_on"], row["last_method"]) == (41.0, "2024-10-05", "mehlich_3")


def test_where_only_another_method_is_known_that_is_a_doubt(garden: Path) -> None:
    new = incoming(garden, NEW.replace("Mehlich 3", "Olsen"))
    shown = {(r["bed"], r["analyte"]): r for r in propose([new], garden, TODAY).records}
    row = shown["North 1", "phosphorus"]
    assert row["last_value"] == 41.0
    assert "the last is by another method (mehlich_3)" in row["doubt"]


def test_a_bed_without_an_earlier_result_has_no_last_value(garden: Path) -> None:
    new = incoming(garden, NEW.replace("2025-", "2023-"))
    rows = propose([new], garden, TODAY).records
    assert {(row["last_value"], row["change"]) for row in rows} == {(None, None)}


def test_a_sample_that_is_no_bed_is_a_doubt_with_the_bed_that_may_be_meant(garden: Path) -> None:
    proposal = propose([incoming(garden, NEW.replace("North 1", "Nrth 1"))], garden, TODAY)
    assert any("'Nrth 1' is no bed" in said and "'North 1'" in said for said in proposal.messages)
    doubts = {row["doubt"] for row in proposal.records if row["bed"] == "Nrth 1"}
    assert all("bed-unmatched" in (doubt or "") for doubt in doubts)


@pytest.mark.parametrize("name", ["2024.csv", "renamed.csv"])
def test_the_same_content_is_refused_with_the_earlier_name(garden: Path, name: str) -> None:
    with pytest.raises(SoiltrendError, match=r"in the garden already, as reports/2024\.csv"):
        propose([incoming(garden, OLD, name)], garden, TODAY)


def test_the_same_results_in_another_kind_of_file_are_refused(garden: Path) -> None:
    with pytest.raises(
        SoiltrendError, match=r"every result of it is in the garden already, in reports/2024\.csv"
    ):
        propose([incoming(garden, OLD.replace(",", ";"), "again.csv")], garden, TODAY)


def test_one_report_given_twice_is_refused(garden: Path) -> None:
    files = [incoming(garden), incoming(garden, name="copy.csv")]
    with pytest.raises(SoiltrendError, match="given twice"):
        propose(files, garden, TODAY)


@pytest.mark.parametrize("name", ["2024.csv", "2024.CSV"])
def test_a_name_that_is_taken_is_refused_and_nothing_is_written(garden: Path, name: str) -> None:
    with pytest.raises(SoiltrendError, match="another report has this name"):
        propose([incoming(garden, name=name)], garden, TODAY)
    assert (garden / "reports" / "2024.csv").read_text(encoding="utf-8") == OLD


def test_two_new_reports_of_one_name_are_refused_before_either_is_filed(garden: Path, tmp_path: Path) -> None:
    first = incoming(garden)
    second = tmp_path / "other" / first.name
    second.parent.mkdir()
    second.write_text(NEW.replace("94", "95"), encoding="utf-8")
    with pytest.raises(SoiltrendError, match="another report has this name"):
        propose([first, second], garden, TODAY)


def test_a_name_that_would_never_be_read_is_refused(garden: Path) -> None:
    with pytest.raises(SoiltrendError, match="never read"):
        propose([incoming(garden, name=".hidden.csv")], garden, TODAY)


def test_filing_never_writes_over_a_report_that_came_meanwhile(garden: Path) -> None:
    path = incoming(garden)
    (garden / "reports" / "2025.csv").write_text("meanwhile", encoding="utf-8")
    with pytest.raises(SoiltrendError, match="another report has this name"):
        file_report(path, garden)
    assert (garden / "reports" / "2025.csv").read_text(encoding="utf-8") == "meanwhile"


def test_only_what_could_be_read_is_proposed(garden: Path) -> None:
    broken = garden.parent / "post" / "x-2025.csv"
    good = incoming(garden)
    broken.write_bytes(b"%PDF-1.7 cut short")
    proposal = propose([broken, good], garden, TODAY)
    assert proposal.paths == (good,)
    assert [Path(failure.source).name for failure in proposal.failures] == ["x-2025.csv"]


def test_a_correction_that_fits_no_result_stops_before_anything_is_filed(garden: Path) -> None:
    header = "source,sample,analyte,value,unit,reason\n"
    row = "reports/2024.csv,North 9,ph,6.1,,typed\n"
    (garden / "corrections.csv").write_text(header + row, encoding="utf-8")
    with pytest.raises(SoiltrendError, match=r"corrections\.csv line 2"):
        propose([incoming(garden)], garden, TODAY)


def test_a_declared_layout_of_the_garden_counts_for_a_new_report(garden: Path) -> None:
    (garden / "layouts").mkdir()
    (garden / "layouts" / "tarnvale.toml").write_text(
        'recognise = ["Tarnvale"]\n[defaults.method]\nph = "cacl2"\n', encoding="utf-8"
    )
    shown = {row["analyte"]: row for row in propose([incoming(garden)], garden, TODAY).records}
    assert shown["ph"]["method"] == "cacl2"


Call = Callable[..., tuple[int, str, str]]


@pytest.fixture
def add(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], garden: Path) -> Call:
    def call(*arguments: object) -> tuple[int, str, str]:
        words = ["soiltrend", "add", *map(str, arguments), "--garden", str(garden)]
        monkeypatch.setattr(sys, "argv", words)
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    return call


def test_with_yes_a_report_is_filed_byte_for_byte(add: Call, garden: Path) -> None:
    path = incoming(garden)
    status, out, err = add(path, "--yes")
    assert status == 0
    assert "Filed: reports/2025.csv" in err
    assert (garden / "reports" / "2025.csv").read_bytes() == path.read_bytes()
    assert {row["last_on"] for row in csv.DictReader(io.StringIO(out))} == {"2024-10-05"}


def test_without_a_terminal_and_yes_nothing_is_filed(add: Call, garden: Path) -> None:
    _, _, err = add(incoming(garden))
    assert "Use --yes" in err
    assert files_of(garden) == ["2024.csv"]


def test_a_file_that_cannot_be_read_is_named_and_the_others_are_filed(add: Call, garden: Path) -> None:
    broken = incoming(garden, "", "broken.pdf")
    broken.write_bytes(b"%PDF-1.7 cut short")
    status, _, err = add(broken, incoming(garden), "--yes")
    assert status == 1
    assert "broken.pdf" in err
    assert files_of(garden) == ["2024.csv", "2025.csv"]


def test_a_refusal_ends_with_2_and_files_nothing(add: Call, garden: Path) -> None:
    copy = garden.parent / "post" / "copy.csv"
    good = incoming(garden)
    shutil.copy(garden / "reports" / "2024.csv", copy)
    status, _, err = add(good, copy, "--yes")
    assert status == 2
    assert "reports/2024.csv" in err
    assert files_of(garden) == ["2024.csv"]


def test_a_missing_file_ends_with_2(add: Call, garden: Path) -> None:
    status, _, err = add(garden.parent / "nowhere.csv", incoming(garden), "--yes")
    assert status == 2
    assert "nowhere.csv" in err
    assert files_of(garden) == ["2024.csv"]
