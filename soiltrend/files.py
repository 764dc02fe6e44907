"""Writing that never loses anything: a temporary file beside the old one, then rename; one writer."""

import hashlib
import os
import tempfile
from collections.abc import Iterator
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
