"""Writing that never loses anything: a temporary file beside the old one, then rename; one writer."""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from soiltrend.errors import SoiltrendError

LOCK_SECONDS = 30.0


def write_bytes(path: Path, content: bytes) -> None:
    """Write ``content`` so that a reader sees the old file or the new one, never a part.

    Raises
    ------
    SoiltrendError
        The folder cannot be written to.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".tmp")
    except OSError as error:
        raise SoiltrendError(f"{path}: cannot write here ({error.strerror}). Nothing was written.") from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as error:
        raise SoiltrendError(f"{path}: cannot write ({error.strerror}). The old file is whole.") from error
    finally:
        Path(name).unlink(missing_ok=True)


def write_text(path: Path, text: str) -> None:
    """Write ``text`` as UTF-8 with the line ends as given; see :func:`write_bytes`."""
    write_bytes(path, text.encode("utf-8"))


def write_folder(folder: Path, contents: Mapping[str, bytes], folders: Iterable[str] = ()) -> None:
    """Write a whole new folder: every file of ``contents`` by its path inside it, and empty ``folders``.

    Everything is written under a hidden name first, so that a stop never leaves half a folder behind.

    Raises
    ------
    SoiltrendError
        There is something at ``folder`` already (an empty folder is filled), or it cannot be written.
    """
    _refuse_occupied(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        staging = Path(tempfile.mkdtemp(dir=folder if folder.is_dir() else folder.parent, prefix=".new-"))
    except OSError as error:
        raise SoiltrendError(
            f"{folder}: cannot write here ({error.strerror}). Nothing was written."
        ) from error
    try:
        _fill(staging, contents, folders)
        _put_in_place(staging, folder)
    except OSError as error:
        raise SoiltrendError(f"{folder}: cannot write ({error.strerror}). Nothing was written.") from error
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _refuse_occupied(folder: Path) -> None:
    if folder.is_dir() and not any(folder.iterdir()):
        return
    if folder.exists() or folder.is_symlink():
        what = "a folder that is not empty" if folder.is_dir() else "a file"
        raise SoiltrendError(
            f"{folder}: expected a new or empty folder, found {what}. Nothing was written. Give another name."
        )


def _fill(staging: Path, contents: Mapping[str, bytes], folders: Iterable[str]) -> None:
    for name in folders:
        (staging / name).mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        path = staging / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _put_in_place(staging: Path, folder: Path) -> None:
    if not folder.is_dir():
        staging.chmod(0o755)
        staging.rename(folder)
        return
    moved: list[Path] = []
    try:
        for entry in sorted(staging.iterdir()):
            moved.append(entry.rename(folder / entry.name))
    except OSError:
        for path in moved:
            path.rename(staging / path.name)
        raise


def sha256(content: bytes) -> str:
    """Return the hexadecimal SHA-256 of ``content``: the identity of a report file."""
    return hashlib.sha256(content).hexdigest()


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Hold the folder's lock while writing under ``out/`` or ``reports/``.

    Raises
    ------
    SoiltrendError
        Another soiltrend has held the lock for half a minute.
    """
    (folder / "out").mkdir(parents=True, exist_ok=True)
    try:
        with FileLock(folder / "out" / ".lock", timeout=LOCK_SECONDS):
            yield
    except Timeout as error:
        raise SoiltrendError(
            f"{folder}: another soiltrend is writing to this garden. Wait for it to end and try again."
        ) from error


def leads_outside(path: Path, folder: Path) -> bool:
    """Whether a symbolic link at ``path`` leads out of ``folder`` (such a file is named, not followed)."""
    return not path.resolve().is_relative_to(folder.resolve())
