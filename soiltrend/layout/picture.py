"""The pages of a PDF or scan as one picture, with what was taken and what was left drawn in."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from soiltrend.errors import SoiltrendError
from soiltrend.layout.reading import LeftAlone, Reading, ReportReading
from soiltrend.readers.pictures import (
    INSTALL,
    is_picture,
    pages_of_pdf,
    pages_of_picture,
    turned,
)
from soiltrend.vocabulary import analytes

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

    from soiltrend.readers.document import Box

ACCENT, INK, PAPER = "#7b2457", "#2b2a28", "white"
DOTS_PER_INCH = 144
LETTERS, SMALLEST_LETTERS = 0.55, 9  # height of captions: a share of their box, and pixels
LEAST_INK = 60  # levels of grey between paper and ink
AROUND = 3  # pixels between a number and its box
DASH, GAP = 6, 4
LONGEST_REASON = 34


Placed = TypeVar("Placed", Reading, LeftAlone)


@dataclass(frozen=True, slots=True)
class Mark:
    """One box to draw, in pixels, with a word or two beside it; ``taken`` boxes have a full line."""

    box: Box
    text: str
    taken: bool


def draw(path: Path, report: ReportReading) -> bytes:
    """Return a PNG of all pages below each other, with a box around each number near a known name.

    A number taken has a full line and its analyte, one left alone a dashed line and a short reason.

    Parameters
    ----------
    path : the PDF or picture that ``report`` was read from

    Raises
    ------
    SoiltrendError
        The file is no PDF and no picture, or pillow is not installed.
    """
    content = path.read_bytes()
    marked = [
        _marked(turned(page, _turn(report, number)), _marks(report, number, scale))
        for number, (page, scale) in enumerate(_pages(content, path), start=1)
    ]
    return _png(_below_each_other(marked))


def _pages(content: bytes, path: Path) -> Iterable[tuple[Image.Image, float]]:
    """Return each page and how many of its pixels one unit of the report's boxes is."""
    try:
        import PIL  # noqa: F401
    except ImportError as error:
        raise SoiltrendError(f"{path}: --picture needs: {INSTALL}. No picture was drawn.") from error
    if is_picture(content):
        return ((page, 1.0) for page in pages_of_picture(content, path.as_posix()))
    if b"%PDF-" in content[:1024]:
        return pages_of_pdf(content, None, DOTS_PER_INCH)
    raise SoiltrendError(
        f"{path}: --picture draws PDF and scans; text, CSV and spreadsheets have places to look up instead. "
        "No picture was drawn."
    )


def _turn(report: ReportReading, number: int) -> float:
    return report.turned[number - 1] if number <= len(report.turned) else 0.0


def _marks(report: ReportReading, number: int, scale: float) -> list[Mark]:
    """Return the boxes of one page; those left alone come first, so that nothing covers what was taken."""
    left = [
        Mark(_scaled(one.box, scale), _short(one.reason), False) for one in _on(report.left_alone, number)
    ]
    taken = [Mark(_scaled(one.box, scale), _named(one), True) for one in _on(report.readings, number)]
    return left + taken


def _on(placed: Sequence[Placed], number: int) -> list[Placed]:
    return [one for one in placed if one.page == number and one.box is not None]


def _named(reading: Reading) -> str:
    name = analytes()[reading.analyte].symbol
    return f"{name} ?" if "low-confidence" in reading.notes else name


def _short(reason: str) -> str:
    """Return the gist of a reason: ``a range to aim at`` of 'it is part of a range to aim at'."""
    gist = re.sub(r"^it (?:is|rates|names)\s+(?:part of\s+)?", "", reason)
    gist = re.split(r"[,;:]", gist)[0]
    return gist if len(gist) <= LONGEST_REASON else gist[: LONGEST_REASON - 1].rstrip() + "…"


def _scaled(box: Box | None, scale: float) -> Box:
    assert box is not None
    left, top, right, bottom = (edge * scale for edge in box)
    return left - AROUND, top - AROUND, right + AROUND, bottom + AROUND


def _marked(page: Image.Image, marks: Sequence[Mark]) -> Image.Image:
    from PIL import ImageDraw, ImageFont

    pen = ImageDraw.Draw(page)
    free = page.convert("L")
    for mark in marks:
        if mark.taken:
            pen.rectangle(mark.box, outline=ACCENT, width=2)
        else:
            _dashed(pen, mark.box)
        ImageDraw.Draw(free).rectangle(mark.box, fill="black")
    for mark in marks:
        size = max(SMALLEST_LETTERS, round(LETTERS * (mark.box[3] - mark.box[1])))
        _caption(pen, mark, ImageFont.load_default(size), free)
    return page


def _dashed(pen: ImageDraw.ImageDraw, box: Box) -> None:
    left, top, right, bottom = box
    for x in range(int(left), int(right), DASH + GAP):
        end = min(x + DASH, right)
        pen.line((x, top, end, top), fill=INK)
        pen.line((x, bottom, end, bottom), fill=INK)
    for y in range(int(top), int(bottom), DASH + GAP):
        end = min(y + DASH, bottom)
        pen.line((left, y, left, end), fill=INK)
        pen.line((right, y, right, end), fill=INK)


def _caption(pen: ImageDraw.ImageDraw, mark: Mark, font: Any, free: Image.Image) -> None:
    """Write what a box is about beside it, where nothing stands; a caption without room is left away."""
    from PIL import ImageDraw

    left, top, right, bottom = mark.box
    for x, y, anchor in (
        (right + AROUND, (top + bottom) / 2, "lm"),
        (left, top - 1, "lb"),
        (left, bottom + 1, "lt"),
        (left - AROUND, (top + bottom) / 2, "rm"),
    ):
        edges = pen.textbbox((x, y), mark.text, font=font, anchor=anchor)
        if _is_free(free, edges):
            pen.text((x, y), mark.text, fill=ACCENT if mark.taken else INK, font=font, anchor=anchor)
            ImageDraw.Draw(free).rectangle(edges, fill="black")
            return


def _is_free(free: Image.Image, edges: Box) -> bool:
    """Whether a place is inside the page and has no ink: it is light, or as dark as paper in a shadow."""
    left, top, right, bottom = (round(edge) for edge in edges)
    if left < 0 or top < 0 or right >= free.width or bottom >= free.height:
        return False
    spread: Any = free.crop((left, top, right + 1, bottom + 1)).getextrema()
    darkest, lightest = spread
    return bool(lightest - darkest < LEAST_INK and darkest > 0)


def _below_each_other(pages: Sequence[Image.Image]) -> Image.Image:
    from PIL import Image

    whole = Image.new("RGB", (max(p.width for p in pages), sum(p.height for p in pages)), PAPER)
    top = 0
    for page in pages:
        whole.paste(page, (0, top))
        top += page.height
    return whole


def _png(picture: Image.Image) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, "PNG", optimize=True)
    return stream.getvalue()
