"""Many report files in, what each says out: one bad file never stops the others, nothing is read twice."""

import json
from pathlib import Path

import pytest

from soiltrend import intake
from soiltrend.intake import Failure, take_in

GOOD = "Sample,pH,P ppm\nBed 1,6.5,40\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "a.csv").write_text(GOOD)
    (tmp_path / "b.csv").write_text(GOOD.replace("6.5", "6.7"))
    return tmp_path


def paths(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_file())


def test_files_come_out_in_the_order_they_went_in(folder: Path) -> None:
    wanted = [folder / "b.csv", folder / "a.csv"]
    assert [report.source for report in take_in(wanted, root=folder).reports] == ["b.csv", "a.csv"]


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("empty.csv", b"", "empty"),
        ("damaged.pdf", b"%PDF-1.4 and then nothing", "damaged"),
        ("damaged.xlsx", b"PK\x03\x04 and then nothing", "damaged"),
        ("note.txt", b"eggs and milk\n", "looks like no laboratory report: no rows"),
        ("letter.txt", b"beans and peas\n", "If it is one, say what its words mean in a file of layouts/"),
        ("program.exe", bytes(range(256)) * 20, "none of the readers"),
    ],
)
def test_a_file_that_gives_nothing_is_named_with_the_reason_and_the_others_are_read(
    folder: Path, name: str, content: bytes, said: str
) -> None:
    (folder / name).write_bytes(content)
    result = take_in(paths(folder), root=folder)
    assert [report.source for report in result.reports] == ["a.csv", "b.csv"]
    assert [failure.source for failure in result.failures] == [name]
    assert said in result.failures[0].reason


def test_a_link_that_leads_out_of_the_folder_is_named_and_not_followed(folder: Path, tmp_path: Path) -> None:
    inside = folder / "garden"
    inside.mkdir()
    (inside / "link.csv").symlink_to(folder / "a.csv")
    result = take_in([inside / "link.csv"], root=inside, confined=True)
    assert result.reports == ()
    assert "leads out of the folder" in result.failures[0].reason


def test_a_file_already_read_is_not_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = folder / "cache"
    first = take_in([folder / "a.csv"], root=folder, cache_folder=cache)

    def never(_job: object) -> Failure:
        raise AssertionError("the file was read again")

    monkeypatch.setattr(intake, "_read", never)
    assert take_in([folder / "a.csv"], root=folder, cache_folder=cache) == first


def test_the_same_bytes_under_another_name_keep_their_own_name(folder: Path) -> None:
    cache = folder / "cache"
    take_in([folder / "a.csv"], root=folder, cache_folder=cache)
    (folder / "copy.csv").write_text(GOOD)
    again = take_in([folder / "copy.csv"], root=folder, cache_folder=cache)
    assert [report.source for report in again.reports] == ["copy.csv"]


def test_a_changed_file_is_read_anew(folder: Path) -> None:
    cache = folder / "cache"
    take_in([folder / "a.csv"], root=folder, cache_folder=cache)
    (folder / "a.csv").write_text(GOOD.replace("6.5", "5.9"))
    (report,) = take_in([folder / "a.csv"], root=folder, cache_folder=cache).reports
    assert report.readings[0].result.number == 5.9


@pytest.mark.parametrize("left", ["", "{", "[]", json.dumps({"source": "a.csv"})])
def test_a_memory_cut_short_is_no_harm(folder: Path, left: str) -> None:
    cache = folder / "cache"
    first = take_in([folder / "a.csv"], root=folder, cache_folder=cache)
    for kept in cache.iterdir():
        kept.write_text(left)
    assert take_in([folder / "a.csv"], root=folder, cache_folder=cache) == first


def test_progress_is_told_file_by_file(folder: Path) -> None:
    told: list[tuple[int, int, str]] = []
    take_in(paths(folder), root=folder, progress=lambda *step: told.append(step))
    assert told == [(1, 2, "a.csv"), (2, 2, "b.csv")]


def test_a_fault_of_the_program_is_not_put_on_the_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise NameError("name 'joined' is not defined")

    monkeypatch.setattr("soiltrend.layout.read_report", fails)
    failures = take_in(paths(folder), root=folder).failures
    assert failures and all("made this program fail; please report it" in one.reason for one in failures)
