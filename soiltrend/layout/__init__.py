"""Finds readings on pages of placed words, whatever the file was, and says why each was taken or left."""

from collections.abc import Sequence

from soiltrend.layout.declared import DeclaredLayout, load_layouts
from soiltrend.layout.engine import read_document
from soiltrend.layout.reading import LeftAlone, Reading, ReportReading
from soiltrend.readers.document import Document

__all__ = ["DeclaredLayout", "LeftAlone", "Reading", "ReportReading", "load_layouts", "read_report"]


def read_report(document: Document, layouts: Sequence[DeclaredLayout] = ()) -> ReportReading:
    """Return everything a document says; see :func:`soiltrend.layout.engine.read_document`."""
    return read_document(document, layouts)
