"""Numbers seen in a picture: marked unless the document's own arithmetic agrees; unclear ones left."""

import re
from collections.abc import Sequence
from dataclasses import replace

from soiltrend.data import load_toml
from soiltrend.layout.agreement import FAILED
from soiltrend.layout.reading import LeftAlone, Reading
from soiltrend.readers.document import Document, Page, Word

LOW_CONFIDENCE = "low-confidence"
SCAN = "scan"
MOST_SHOWN = 40
LETTERS = "the picture may show a letter or a digit there; read it yourself and enter it by hand"
UNSURE = "the picture is too unclear there; read it yourself and enter it by hand"


def mark_scanned(
    readings: Sequence[Reading], document: Document
) -> tuple[tuple[Reading, ...], tuple[LeftAlone, ...]]:
    """Return the readings to keep, and those that were seen too unclearly to be taken.

    A reading from a picture is noted ``low-confidence`` unless a check of the document's own numbers holds.
    """
    scanned = {number: page for number, page in enumerate(document.pages, start=1) if page.scanned}
    kept: list[Reading] = []
    left: list[LeftAlone] = []
    for reading in readings:
        page = scanned.get(reading.page)
        why = _why_unclear(reading, page) if page else ""
        if why:
            left.append(_left(reading, why))
        else:
            kept.append(_marked(reading) if page else reading)
    return tuple(kept), tuple(left)


def unlike_a_report(document: Document, readings: Sequence[Reading]) -> str:
    """Return what a picture looks like from which no result could be read, ``""`` for all else."""
    if document.kind != SCAN or readings:
        return ""
    words = [word.text for page in document.pages for word in page.words]
    if not any(len(word) > 1 and word.isalnum() for word in words):
        return "picture without words"
    shown = " ".join(words)[:MOST_SHOWN]
    return f"picture with other words on it ({shown!r})"


def _marked(reading: Reading) -> Reading:
    if reading.confirmed and FAILED not in reading.notes:
        return reading
    return replace(reading, notes=tuple(dict.fromkeys((*reading.notes, LOW_CONFIDENCE))))


def _left(reading: Reading, why: str) -> LeftAlone:
    return LeftAlone(
        text=reading.value_printed,
        near=reading.analyte,
        place=reading.place,
        reason=why,
        page=reading.page,
        box=reading.box,
    )


def _why_unclear(reading: Reading, page: Page) -> str:
    if _confusing().search(reading.value_printed):
        return LETTERS
    sure = min((word.sure for word in _words_in(reading, page)), default=1.0)
    limit = float(load_toml("recognition")["least"]["sureness"])
    return UNSURE if sure < limit and not reading.confirmed else ""


def _words_in(reading: Reading, page: Page) -> list[Word]:
    """Return the words with digits in the reading's box."""
    if reading.box is None:
        return []
    x0, top, x1, bottom = reading.box
    return [
        word
        for word in page.words
        if x0 <= word.middle <= x1
        and top <= (word.top + word.bottom) / 2 <= bottom
        and any(letter.isdigit() for letter in word.text)
    ]


def _confusing() -> re.Pattern[str]:
    """Match a letter that looks like a digit where it touches one, and a mark that is no decimal mark."""
    letters = re.escape(str(load_toml("recognition")["confused"]["letters"]))
    marks = re.escape(str(load_toml("recognition")["confused"]["marks"]))
    touching = rf"(?<=[\d.,])[{letters}]|[{letters}](?=[\d.,])"
    return re.compile(rf"{touching}|\d\s?[{marks}]\s?\d|\d\s+[.,]?\s*\d|\d[.,]\s+\d")
