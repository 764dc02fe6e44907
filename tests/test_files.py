"""Writing never loses anything: the old file or the new one, never a part."""

import os
from pathlib import Path

import pytest

from soiltrend.errors import SoiltrendError
from soiltrend.files import leads_outside, one_writer, sha256, write_bytes, write_text


def test_a_written_file_holds_exactly_the_text(tmp_path: Path) -> None:
    write_text(tmp_path / "deep" / "a.txt", "é\r\n")
    assert (tmp_path / "deep" / "a.txt").read_bytes() == b"\xc3\xa9\r\n"


def test_no_temporary_file_stays_behind(tmp_path: Path) -> None:
    write_bytes(tmp_path / "a", b"1")
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


def test_the_old_file_is_whole_when_the_new_one_cannot_be_put_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_bytes(tmp_path / "a", b"old")

    def no_space(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_space)
    with pytest.raises(SoiltrendError, match="No space left on device"):
        write_bytes(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


def test_a_folder_that_is_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(SoiltrendError, match="cannot write here"):
        write_text(tmp_path / "out" / "a.csv", "x")


def test_a_link_out_of_the_folder_is_recognised(tmp_path: Path) -> None:
    garden, elsewhere = tmp_path / "garden", tmp_path / "secret.csv"
    garden.mkdir()
    elsewhere.write_text("x")
    (garden / "link.csv").symlink_to(elsewhere)
    (garden / "own.csv").write_text("x")
    assert leads_outside(garden / "link.csv", garden)
    assert not leads_outside(garden / "own.csv", garden)


def test_one_writer_holds_the_garden_and_lets_go(tmp_path: Path) -> None:
    with one_writer(tmp_path):
        pass
    with one_writer(tmp_path):
        assert (tmp_path / "out").is_dir()


def test_the_hash_is_the_published_one_of_the_empty_message() -> None:
    # NIST FIPS 180-4, SHA-256 of the empty message
    assert sha256(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
