import csv
from pathlib import Path

import pytest

from soiltrend import resources
from soiltrend.errors import SoiltrendError
from soiltrend.records import load_garden, new_garden, rows
from soiltrend.records.load import FILES, TABLES

EXAMPLE = "# For example: "


def test_a_new_garden_loads_and_is_empty(tmp_path: Path) -> None:
    new_garden(tmp_path / "deep" / "garden")
    garden = load_garden(tmp_path / "deep" / "garden")
    assert (garden.beds, garden.amendments, garden.measurements, garden.claims) == ((), (), (), ())
    assert (garden.reports, garden.layouts) == ((), ())


def test_a_new_garden_has_every_record_file_and_a_place_for_reports(tmp_path: Path) -> None:
    new_garden(tmp_path / "garden")
    assert {path.name for path in (tmp_path / "garden").iterdir()} == {*FILES, "reports", "layouts"}
    assert (tmp_path / "garden").stat().st_mode & 0o777 == 0o755


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "garden").mkdir()
    new_garden(tmp_path / "garden")
    assert load_garden(tmp_path / "garden").name == ""


@pytest.mark.parametrize("name", TABLES)
def test_the_header_of_a_blank_file_is_what_may_be_filled_in(name: str) -> None:
    header = next(csv.reader(resources.contents("templates/records")[name].decode().splitlines()))
    accepted = rows.columns_of(TABLES[name])
    assert set(rows.required(TABLES[name])) <= set(header) <= set(accepted)


def examples(name: str) -> list[str]:
    cells = (
        row[0]
        for row in csv.reader(resources.contents("templates/records")[name].decode().splitlines())
        if row
    )
    return [cell.removeprefix(EXAMPLE) for cell in cells if cell.startswith(EXAMPLE)]


def test_the_examples_in_the_comments_load_when_their_sign_is_taken_away(tmp_path: Path) -> None:
    new_garden(tmp_path)
    for name in TABLES:
        assert examples(name), name
        with (tmp_path / name).open("a") as stream:
            stream.writelines(f"{line}\n" for line in examples(name))
    (tmp_path / "reports" / "lab-2024.csv").write_text("")
    garden = load_garden(tmp_path)
    assert [bed.bed for bed in garden.beds] == ["North 1"]
    assert garden.beds[0].also_called == ("N1", "North bed 1")
    assert garden.corrections[0].source == "reports/lab-2024.csv"
    assert garden.claims[0].beds == ("North 1",)


def test_the_settings_in_the_comments_load_when_their_sign_is_taken_away(tmp_path: Path) -> None:
    new_garden(tmp_path)
    text = (tmp_path / "garden.toml").read_text()
    for line in ("depth_cm = 15", "cores = 15", "month = 4", "bulk_density_g_cm3 = 1.3", 'texture = "loam"'):
        assert f"# {line}\n" in text
        text = text.replace(f"# {line}", line)
    (tmp_path / "garden.toml").write_text(text)
    garden = load_garden(tmp_path)
    assert (garden.sampling.depth_cm, garden.sampling.cores, garden.sampling.month) == (15, 15, 4)


def test_a_folder_that_holds_something_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(SoiltrendError, match="not empty"):
        new_garden(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_a_file_in_the_way_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "garden").write_text("mine")
    with pytest.raises(SoiltrendError, match="found a file"):
        new_garden(tmp_path / "garden")
    assert (tmp_path / "garden").read_text() == "mine"


@pytest.mark.parametrize("exists", [False, True])
def test_a_disk_that_fails_half_way_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exists: bool
) -> None:
    garden = tmp_path / "garden"
    if exists:
        garden.mkdir()
    rename, calls = Path.rename, []

    def fails_later(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == (3 if exists else 1):
            raise OSError(28, "No space left on device")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fails_later)
    with pytest.raises(SoiltrendError, match=r"No space left on device.*Nothing was written"):
        new_garden(garden)
    assert [path for path in tmp_path.rglob("*") if path != garden] == []
    assert garden.exists() is exists
