"""Exactly one reader recognises a file, or the message names them all."""

import hashlib
from pathlib import Path

import pytest

from soiltrend.errors import UnreadableFile
from soiltrend.readers import READERS, open_document

FIXTURES = Path(__file__).parents[2] / "fixtures"
REPORTS = sorted(
    path
    for path in FIXTURES.rglob("*")
    if path.suffix in {".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods", ".pdf"}
    and not path.name.endswith(".expected.csv")
)


@pytest.mark.parametrize("path", REPORTS, ids=lambda p: p.relative_to(FIXTURES).as_posix())
def test_one_reader_and_no_other_takes_a_report(path: Path) -> None:
    content = path.read_bytes()
    assert sum(reader.recognises(content, path.name) for reader in READERS) == 1


def test_the_document_knows_its_file(tmp_path: Path) -> None:
    path = tmp_path / "reports" / "lab.csv"
    path.parent.mkdir()
    path.write_text("Sample,pH\nBed 1,6.5\n")
    document = open_document(path, tmp_path)
    assert document.source == "reports/lab.csv"
    assert document.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert document.kind == "csv"


@pytest.mark.parametrize("name", ["report.txt", "report.csv", "report"])
@pytest.mark.parametrize("ending", [".xlsx", ".pdf"])
def test_a_renamed_file_is_known_by_its_content(name: str, ending: str, tmp_path: Path) -> None:
    original = next(path for path in REPORTS if path.suffix == ending)
    renamed = tmp_path / name
    renamed.write_bytes(original.read_bytes())
    assert open_document(renamed).kind == {".xlsx": "spreadsheet", ".pdf": "pdf"}[ending]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty file"),
        (b" \n\t\r\n", "empty file"),
        (b"\x1f\x8b\x08" + bytes(range(256)) * 40, "none of the readers knows"),
        (b"MZ\x90\x00" + bytes(range(256)) * 40, "none of the readers knows"),
    ],
)
def test_what_no_reader_knows_is_named_with_what_is_known(content: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / "thing.dat"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile, match=said) as raised:
        open_document(path, tmp_path)
    assert str(raised.value).startswith("thing.dat: expected")


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="cannot be opened"):
        open_document(tmp_path / "nothing.csv")
    with pytest.raises(UnreadableFile, match="cannot be opened"):
        open_document(tmp_path)


def test_a_file_that_may_not_be_read_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.csv"
    path.write_text("pH\n6.5\n")

    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(UnreadableFile, match=r"locked\.csv: cannot be opened \(Permission denied\)"):
        open_document(path, tmp_path)


@pytest.mark.parametrize("name", ["a.xlsx", "a.ods", "a.pdf", "a.xls"])
def test_a_file_cut_short_is_named_and_never_a_traceback(name: str, tmp_path: Path) -> None:
    ending = Path(name).suffix
    original = next(path for path in REPORTS if path.suffix == ending).read_bytes()
    path = tmp_path / name
    path.write_bytes(original[: len(original) // 3])
    with pytest.raises(UnreadableFile, match=r"a\.\w+: "):
        open_document(path, tmp_path)
