"""Reads the bytes of a report as the program reads its file."""

from soiltrend.errors import UnreadableFile
from soiltrend.files import sha256
from soiltrend.layout import read_report
from soiltrend.layout.reading import ReportReading
from soiltrend.readers import READERS
from soiltrend.readers.document import Document


def read_bytes(content: bytes, name: str) -> ReportReading:
    """Read a report that is in no file."""
    able = [reader for reader in READERS if reader.recognises(content, name)]
    if len(able) != 1:
        raise UnreadableFile(f"{name}: {len(able)} readers know it")
    pages, messages = able[0].read(content, name)
    document = Document(
        source=name, sha256=sha256(content), kind=able[0].NAME, pages=pages, messages=messages
    )
    return read_report(document)


def read_text(content: str, name: str = "report.txt") -> ReportReading:
    """Read a report that is written in the test."""
    return read_bytes(content.encode(), name)


def values(reading: ReportReading) -> dict[tuple[str, str], tuple[float | None, str]]:
    """Return (sample, analyte) → (number, unit) of a report without layers or methods that part results."""
    return {(r.sample, r.analyte): (r.result.number, r.unit) for r in reading.readings}
