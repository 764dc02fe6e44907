"""The command line as its users meet it: exit statuses, streams, files written, nothing else touched."""

import csv
import io
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from soiltrend import cli
from soiltrend.files import sha256
from soiltrend.observations import COLUMNS

DEMO = Path(__file__).parents[1] / "fixtures" / "demo"
COMMANDS = (
    "demo", "new", "read", "add", "trends", "compare", "check", "claim", "dose", "balance", "plan", "report",
)  # fmt: skip


@dataclass
class Ran:
    """What one call did."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> list[dict[str, Any]]:
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["soiltrend", *map(str, arguments)])
        try:
            cli.main()
            status = 0
        except SystemExit as left:
            status = int(left.code or 0)
        captured = capsys.readouterr()
        return Ran(status, captured.out, captured.err)

    return call


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo garden, read once for all tests of this module."""
    folder = tmp_path_factory.mktemp("cli") / "garden"
    copy_demo(folder)
    return folder


def copy_demo(folder: Path) -> None:
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out"))


def state(folder: Path) -> dict[str, str]:
    """Every file a person wrote, by its content."""
    return {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes())
        for path in sorted(folder.rglob("*"))
        if path.is_file() and "out" not in path.relative_to(folder).parts
    }


def test_help_names_every_command_with_a_whole_sentence(run: Run) -> None:
    ran = run("--help")
    assert ran.status == 0
    listed = {
        line.split()[0]: line for line in ran.out.splitlines() if line.startswith("  ") and line.split()
    }
    for command in COMMANDS:
        assert command in listed
        assert not listed[command].rstrip().endswith("..."), listed[command]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(run: Run, command: str) -> None:
    ran = run(command, "--help")
    assert ran.status == 0
    assert "Usage" in ran.out


def test_the_version_is_printed(run: Run) -> None:
    assert run("--version").out.startswith("soiltrend ")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["trends"], "FOLDER"),
        (["trends", "no-such-folder"], "no-such-folder"),
        (["frobnicate"], "frobnicate"),
        (["read", "no-such-file.csv"], "no-such-file.csv"),
        (["trends", DEMO, "--format", "xml"], "expected table, csv or json"),
        (["trends", DEMO, "--nonsense"], "--nonsense"),
    ],
    ids=lambda value: str(value)[-30:],
)
def test_a_wrong_call_ends_with_2_and_one_clear_message(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[object], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run(*arguments)
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert ran.out == ""
    assert list(tmp_path.iterdir()) == []


def test_read_prints_the_long_table_as_csv_when_piped(run: Run) -> None:
    ran = run("read", DEMO / "reports" / "2020-hollowbrook.csv")
    rows = list(csv.DictReader(io.StringIO(ran.out)))
    assert ran.status == 0
    assert tuple(rows[0]) == COLUMNS
    assert {row["sample"] for row in rows} >= {"N1", "Kitchen"}


def test_read_explains_each_value_and_each_number_left_alone(run: Run, tmp_path: Path) -> None:
    report = tmp_path / "report.csv"
    report.write_text("Sample,pH,P ppm,P rating,P2O5 lb/acre recommended\nBed 1,6.5,40,4,25\n")
    rows = run("read", "--explain", "--format", "json", report).json
    assert all(row["reason"] for row in rows)
    assert {row["taken"] for row in rows} == {True, False}


def test_a_file_that_is_no_soil_test_is_named_and_the_others_are_read(run: Run, tmp_path: Path) -> None:
    other = tmp_path / "shopping.txt"
    other.write_text("eggs\nmilk\n")
    ran = run("read", other, DEMO / "reports" / "2020-hollowbrook.csv")
    assert ran.status == 1
    assert "shopping.txt" in ran.err
    assert "N1" in ran.out


TRENDS = (
    "bed", "analyte", "unit", "method", "segments", "n", "first_on", "last_on", "first_value", "last_value",
    "slope_per_year", "ci_low", "ci_high", "ci_level", "p_value", "total_change", "smallest_detectable",
    "estimator", "p_adjusted", "verdict",
)  # fmt: skip
CHECK = ("code", "severity", "bed", "analyte", "observations", "text", "numbers", "causes", "next_step")
COMPARE = (
    "analyte", "unit", "group", "reference", "beds", "reference_beds", "difference_per_year", "ci_low",
    "ci_high", "ci_level", "p_value", "estimator", "verdict",
)  # fmt: skip
CLAIM = ("claim", "understood", "verdict", "reasons", "numbers", "say_instead")


@pytest.mark.parametrize(
    ("command", "keys"),
    [("trends", TRENDS), ("check", CHECK), ("compare", COMPARE), ("claim", CLAIM)],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_json_is_a_list_of_objects_with_the_fixed_keys(
    run: Run, garden: Path, command: str, keys: tuple[str, ...]
) -> None:
    rows = run(command, garden, "--format", "json").json
    assert rows
    for row in rows:
        assert set(keys) <= set(row)


def test_analysis_writes_only_under_out(run: Run, garden: Path) -> None:
    before = state(garden)
    for command in ("trends", "compare", "check", "balance", "plan", "report", "claim"):
        assert run(command, garden).status == 0, command
    assert state(garden) == before
    assert (garden / "out" / "report.html").is_file()
    assert (garden / "out" / "observations.csv").is_file()


def test_the_planted_doubling_is_called_unbelievable(run: Run, garden: Path) -> None:
    found = run("check", garden, "--format", "json").json
    assert any(
        f["severity"] == "unbelievable" and f["bed"] == "South 2" and f["analyte"] == "organic_matter"
        for f in found
    )


def test_a_claim_that_the_records_do_not_carry_is_never_supported(run: Run, garden: Path) -> None:
    (judged,) = run(
        "claim", garden, "Organic matter in South 2 doubled in three years", "--format", "json"
    ).json
    assert judged["verdict"] in {"unbelievable", "contradicted"}
    assert judged["say_instead"]


def test_demo_writes_a_garden_and_its_report_and_says_where(run: Run, tmp_path: Path) -> None:
    ran = run("demo", tmp_path / "demo")
    assert ran.status == 0
    assert str(tmp_path / "demo" / "out" / "report.html") in ran.out
    assert run("demo", tmp_path / "demo").status == 0, "a second look at the demo is no error"


def test_demo_refuses_a_folder_with_something_else_in_it(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    ran = run("demo", tmp_path)
    assert ran.status == 2
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_new_then_report_says_that_there_is_nothing_yet(run: Run, tmp_path: Path) -> None:
    assert run("new", tmp_path / "garden").status == 0
    ran = run("trends", tmp_path / "garden", "--format", "json")
    assert (ran.status, ran.json) == (0, [])
    ran = run("report", tmp_path / "garden")
    assert ran.status == 0
    assert "No report was read yet" in ran.out


def test_add_files_a_report_once(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "garden"
    copy_demo(folder)
    newest = folder / "reports" / "2026-tarnvale.txt"
    incoming = tmp_path / "from-the-post.txt"
    shutil.move(newest, incoming)
    ran = run("add", incoming, "--garden", folder, "--yes")
    assert ran.status == 0
    assert (folder / "reports" / "from-the-post.txt").read_bytes() == incoming.read_bytes()
    again = run("add", incoming, "--garden", folder, "--yes")
    assert again.status == 2
    assert "from-the-post.txt" in again.err


def test_add_does_not_file_without_a_yes(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "garden"
    copy_demo(folder)
    incoming = tmp_path / "new.txt"
    shutil.move(folder / "reports" / "2026-tarnvale.txt", incoming)
    ran = run("add", incoming, "--garden", folder)
    assert "Not filed" in ran.err
    assert not (folder / "reports" / "new.txt").exists()


@pytest.mark.parametrize(
    ("file", "line", "said"),
    [
        ("beds.csv", "North 1,100,control,,,,,", "line 10"),
        ("beds.csv", "New bed,0,control,,,,,", "area_ft2"),
        ("amendments.csv", "2024-13-40,North 1,compost,1,kg,,", "date"),
    ],
)
def test_wrong_records_end_with_2_and_nothing_is_written(
    run: Run, tmp_path: Path, file: str, line: str, said: str
) -> None:
    folder = tmp_path / "garden"
    copy_demo(folder)
    with (folder / file).open("a", encoding="utf-8") as stream:
        stream.write(line + "\n")
    ran = run("report", folder)
    assert ran.status == 2
    assert file in ran.err
    assert said in ran.err
    assert not (folder / "out").exists()


def test_the_card_is_a_picture(run: Run, garden: Path, tmp_path: Path) -> None:
    card = tmp_path / "card.png"
    assert run("claim", garden, "Organic matter doubled in South 2", "--card", card).status == 0
    assert card.read_bytes()[:4] == b"\x89PNG"


def test_a_folder_given_to_read_is_called_a_folder(run: Run, tmp_path: Path) -> None:
    ran = run("read", tmp_path)
    assert ran.status == 2
    assert "found a folder" in ran.err


@pytest.mark.parametrize("name", ["card.gif", "card"])
def test_a_card_of_another_kind_is_refused_before_anything_is_printed(
    run: Run, garden: Path, tmp_path: Path, name: str
) -> None:
    ran = run("claim", garden, "Organic matter doubled in South 2", "--card", tmp_path / name)
    assert (ran.status, ran.out) == (2, "")
    assert "ends in .png or .svg" in ran.err


def test_a_card_of_several_claims_is_refused_before_anything_is_printed(
    run: Run, garden: Path, tmp_path: Path
) -> None:
    ran = run("claim", garden, "pH rose in South 2", "pH fell in North 1", "--card", tmp_path / "card.png")
    assert (ran.status, ran.out) == (2, "")
    assert "one statement" in ran.err


@pytest.mark.parametrize("name", ["trends.xlsx", "trends.ods", "trends.html"])
def test_an_output_of_a_kind_that_is_not_written_is_refused(
    run: Run, garden: Path, tmp_path: Path, name: str
) -> None:
    """A spreadsheet program would refuse CSV text under the name of another kind of file."""
    ran = run("trends", garden, "--output", tmp_path / name)
    assert (ran.status, ran.out) == (2, "")
    assert ".csv, .json or .parquet" in ran.err
    assert not (tmp_path / name).exists()


def test_add_says_that_an_unreadable_file_was_not_filed(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "garden"
    copy_demo(folder)
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Tom, thanks for the beans. We met three times.\n", encoding="utf-8")
    ran = run("add", letter, "--garden", folder, "--yes")
    assert (ran.status, ran.out) == (2, "")
    assert "Not filed: letter.txt" in ran.err
    assert not (folder / "reports" / "letter.txt").exists()


def test_a_stop_by_the_keyboard_is_said(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("soiltrend.pipeline.read_files", stopped)
    ran = run("read", "a.csv")
    assert ran.status == 130
    assert ran.err.startswith("Stopped.")


def test_as_a_program_it_starts_and_never_shows_a_traceback(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "soiltrend", "trends", str(tmp_path / "nowhere")],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr
