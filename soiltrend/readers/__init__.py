"""One module per kind of file; each turns it into pages of placed words."""

from pathlib import Path
from types import ModuleType

from soiltrend.errors import UnreadableFile
from soiltrend.files import sha256
from soiltrend.readers import delimited, hypertext, mail, pdf, pictured, plain, scan, spreadsheet
from soiltrend.readers.document import Document, Page, Rule, Word

__all__ = ["READERS", "Document", "Page", "Rule", "Word", "open_document"]

# Each has NAME, EXPLAINED, recognises(content, name) and read(content, source).
READERS: tuple[ModuleType, ...] = (delimited, plain, hypertext, mail, spreadsheet, pdf, scan)

MOST_BYTES = 100_000_000


def open_document(path: Path, root: Path | None = None) -> Document:
    """Read ``path`` with the one reader that recognises it.

    Parameters
    ----------
    path : the report file
    root : the document's ``source`` is told relative to this folder where the file lies below it

    Raises
    ------
    UnreadableFile
        No reader recognises the file, several do, or it is damaged; the message names the readers.
    """
    source = _source(path, root)
    content = _content(path, source)
    reader = _the_one(content, path.name, source)
    if reader is pdf:
        pages, messages, kind = pictured.read(content, source)
    else:
        pages, messages = reader.read(content, source)
        kind = reader.NAME
    return Document(source=source, sha256=sha256(content), kind=kind, pages=pages, messages=messages)


def _source(path: Path, root: Path | None) -> str:
    if root is not None and path.is_relative_to(root):
        return path.relative_to(root).as_posix()
    return path.as_posix()


def _content(path: Path, source: str) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise UnreadableFile(f"{source}: expected a lab report, found over 100 MB. Left unread.")
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(f"{source}: cannot be opened ({error.strerror or error}).") from error
    if not content.strip(b"\0 \r\n\t"):
        raise UnreadableFile(f"{source}: expected a lab report, found an empty file.")
    return content


def _the_one(content: bytes, name: str, source: str) -> ModuleType:
    able = [reader for reader in READERS if reader.recognises(content, name)]
    if len(able) == 1:
        return able[0]
    kinds = ", ".join(reader.EXPLAINED for reader in (able or READERS))
    if able:
        raise UnreadableFile(f"{source}: expected one kind of file, found signs of several: {kinds}.")
    raise UnreadableFile(
        f"{source}: expected a lab report, found a kind of file that none of the readers knows: {kinds}. "
        "Export the report as one of these."
    )
