"""Finds readings on pages of placed words, whatever the file was, and says why each was taken or left."""

from collections.abc import Sequence
from pathlib import Path

from soiltrend.layout.engine import read_document
from soiltrend.layout.reading import LeftAlone, Reading, ReportReading
from soiltrend.readers.document import Document

__all__ = ["LeftAlone", "Reading", "ReportReading", "load_layouts", "read_report"]


def load_layouts(paths: Sequence[Path]) -> tuple[Path, ...]:
    """Return the declared layouts of a garden."""
    return tuple(paths)


def read_report(document: Document, layouts: Sequence[Path] = ()) -> ReportReading:
    """Return everything a document says; see :func:`soiltrend.layout.engine.read_document`."""
    return read_document(document)
