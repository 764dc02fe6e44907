"""Prints tables to PDF pages, and places words on pages without one."""

import io
from collections.abc import Mapping, Sequence

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from soiltrend.readers.document import Page, Word

FONT, SIZE = "Helvetica", 10
STYLE = ParagraphStyle("cell", fontName=FONT, fontSize=SIZE, leading=12)
HEIGHT, LETTER = 10.0, 5.0
Look = tuple[object, ...]


def table_pdf(
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    *looks: Look,
    valign: str = "TOP",
    ruled: bool = False,
    title: str = "Soil test",
) -> bytes:
    """Print one table, each cell a paragraph that may be broken by <br/>."""
    cells = [[Paragraph(text, STYLE) for text in row] for row in rows]
    rules: list[Look] = [("GRID", (0, 0), (-1, -1), 0.5, black)] if ruled else []
    stream = io.BytesIO()
    table = Table(cells, colWidths=list(widths), style=[("VALIGN", (0, 0), (-1, -1), valign), *rules, *looks])
    SimpleDocTemplate(stream, title=title).build([Paragraph(title, STYLE), table])
    return stream.getvalue()


def width_of(text: str) -> float:
    """Return the width of the longest line of a cell with its padding."""
    return max(stringWidth(line, FONT, SIZE) for line in text.split("<br/>")) + 12


def drawn(lines: Mapping[float, Mapping[float, str]]) -> Page:
    """Place words on a drawn page: the top of each line, the left edge of each phrase on it."""
    words = []
    for number, (top, phrases) in enumerate(lines.items(), start=1):
        for left, text in phrases.items():
            x = left
            for word in text.split():
                end = x + LETTER * len(word)
                words.append(Word(word, x, top, end, top + HEIGHT, number))
                x = end + LETTER / 2
    return Page(number=1, medium="drawn", words=tuple(words), space=LETTER)
