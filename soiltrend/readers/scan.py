"""Scans and photographs → pages of placed words, by character recognition that runs on this machine.

The recogniser (rapidocr with onnxruntime, the extra ``scan``) brings its models in its own wheel; they are
named to it file by file, so that it never looks for others on the network.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from statistics import fmean, median
from typing import TYPE_CHECKING, Any

from soiltrend.data import load_toml
from soiltrend.errors import UnreadableFile
from soiltrend.readers.document import Page, Word
from soiltrend.readers.pictures import (
    INSTALL,
    is_picture,
    pages_of_pdf,
    pages_of_picture,
    turned,
)
from soiltrend.readers.straighten import skew_of, slant_of, slope_of
from soiltrend.vocabulary import match_analyte, match_unit

if TYPE_CHECKING:
    from PIL import Image

NAME = "scan"
EXPLAINED = "picture (.png, .jpg, .tif, .webp, .bmp)"
# The recogniser's boxes stand off the letters by about this share of their height.
MARGIN = 0.15
# Two words closer than this share of their height belong to one phrase.
WORD_GAP = 0.62
WIDEST_BLANK = 1.2  # heights of a word: a wider gap is between columns
FEWEST_BLANKS = 8
PITCHES = 1.6  # letters of a typewriter, what is still one blank
LEAST_LETTERS = 4  # of a word that shows how wide a letter is
ALIKE, MOST = 0.06, 0.7  # how far widths may differ, and the share of words that must agree
BLANKS = 1.4  # blanks: more than one and less than two
# Words of at least four letters are read with less than this sureness on pages that stand on their head.
UPSIDE_DOWN = 0.93
SMALLEST_SKEW, STILL_SKEWED = 0.1, 1.5  # degrees
_CAPITAL_I = re.compile(r"^[I1](bs?/)")  # a small L of "lb/acre" that was read as a capital i or a one
_GLUED = re.compile(r"([A-Z][a-z]?)((?:ppm|mg/kg|lbs?/A|meq)\S*)")


@dataclass(frozen=True, slots=True)
class Seen:
    """One run of letters as the recogniser sees it: its corners from the top left, and how sure it is."""

    text: str
    corners: tuple[tuple[float, float], ...]
    sure: float
    words: tuple[tuple[str, float, float, float], ...] = ()  # text, left, right, sureness

    @property
    def tall(self) -> bool:
        """Whether the letters run up or down the page."""
        (x0, y0), (x1, _), (_, y1) = self.corners[0], self.corners[1], self.corners[2]
        return y1 - y0 > 1.5 * abs(x1 - x0)


def recognises(content: bytes, name: str) -> bool:
    """Whether the file is a picture."""
    return is_picture(content)


def read(content: bytes, source: str) -> tuple[tuple[Page, ...], tuple[str, ...]]:
    """Return a page of words for each page of a picture file; boxes are in its pixels, as read.

    Raises
    ------
    UnreadableFile
        The picture is damaged, or the extra ``scan`` is not installed.
    """
    recogniser(source)
    pictures = pages_of_picture(content, source)
    return tuple(_page(picture, number, 1.0) for number, picture in enumerate(pictures, start=1)), ()


def read_pdf(content: bytes, source: str, numbers: Sequence[int]) -> tuple[Page, ...]:
    """Return pages of words for those pages of a PDF (from 1) that are pictures; boxes are in points."""
    recogniser(source)
    return tuple(
        _page(picture, number, scale)
        for number, (picture, scale) in zip(numbers, pages_of_pdf(content, numbers), strict=True)
    )


@cache
def _load() -> Any:
    """Start the recogniser, once in each process."""
    import rapidocr

    models = Path(rapidocr.__file__).parent / "models"
    found = {part: sorted(models.glob(f"*_{part}_*.onnx")) for part in ("det", "rec")}
    if not all(found.values()):
        raise ImportError("this rapidocr has no models in its wheel")
    # One of several processes keeps to one thread.
    from multiprocessing import parent_process

    threads = 1 if parent_process() is not None else os.cpu_count() or 1
    return rapidocr.RapidOCR(
        params={
            "Global.log_level": "critical",
            "Global.text_score": 0.0,  # nothing is dropped unseen: what is unsure is named later
            "Global.use_cls": False,  # it turns '68' to '89': whole pages are turned, never single numbers
            "Global.max_side_len": 4000,
            "EngineConfig.onnxruntime.intra_op_num_threads": threads,
            "Det.model_path": str(found["det"][0]),
            "Rec.model_path": str(found["rec"][0]),
        }
    )


def recogniser(source: str) -> Any:
    """Return the recogniser.

    Raises
    ------
    UnreadableFile
        The extra ``scan`` is not installed; the message says how to.
    """
    try:
        return _load()
    except ImportError as error:
        raise UnreadableFile(
            f"{source}: is a picture of a page, and reading letters from pictures needs: {INSTALL}"
        ) from error


def _blank_of_typewriter(words: Sequence[Word]) -> float:
    """Return a width between one blank and two where all letters are equally wide, which sets blanks wide."""
    lines: dict[int, list[Word]] = {}
    for word in words:
        lines.setdefault(word.line, []).append(word)
    gaps = [b.x0 - a.x1 for line in lines.values() for a, b in pairwise(sorted(line, key=lambda w: w.x0))]
    height = median(word.bottom - word.top for word in words)
    narrow = sorted(gap for gap in gaps if 0 < gap < WIDEST_BLANK * height)
    if len(narrow) < FEWEST_BLANKS:
        return PITCHES * _pitch(words)
    return max(BLANKS * narrow[len(narrow) // 4], PITCHES * _pitch(words))


def _pitch(words: Sequence[Word]) -> float:
    """Return the width of a letter where nearly all words are as wide as they have letters, else 0."""
    widths = [(word.x1 - word.x0) / len(word.text) for word in words if len(word.text) >= LEAST_LETTERS]
    usual = median(widths) if len(widths) >= FEWEST_BLANKS else 0.0
    alike = sum(abs(width - usual) <= ALIKE * usual for width in widths)
    return usual if usual and alike >= MOST * len(widths) else 0.0


def _page(picture: Image.Image, number: int, scale: float) -> Page:
    """Read one picture, turned upright first; ``scale`` is pixels for each unit of the page's measure."""
    seen, angle = _upright(picture)
    words = _numbered([word for one in _levelled(seen) for word in _words(one, scale)])
    heights = [word.bottom - word.top for word in words]
    space = max(WORD_GAP * median(heights), _blank_of_typewriter(words)) if heights else 0.0
    return Page(number=number, medium="drawn", words=words, space=space, turned=angle % 360, scanned=True)


def _upright(picture: Image.Image) -> tuple[list[Seen], float]:
    """Return what is seen when the picture is turned so that its lines run level, and that turn."""
    angle = skew_of(picture)
    angle = angle if abs(angle) >= SMALLEST_SKEW else 0.0
    seen = _see(turned(picture, angle))
    ways = [(seen, angle)]
    if 2 * sum(one.tall for one in seen) > len(seen):
        ways = [(_see(turned(picture, angle + more)), angle + more) for more in (90, 270)]
    elif seen and _sureness(seen) < UPSIDE_DOWN:
        ways.append((_see(turned(picture, angle + 180)), angle + 180))
    seen, angle = max(ways, key=lambda way: _sureness(way[0]))
    # The edges of a photographed sheet can mislead the first look; the letters do not.
    left = math.degrees(math.atan(slope_of([one.corners for one in seen])))
    return (seen, angle) if abs(left) < STILL_SKEWED else (_see(turned(picture, angle + left)), angle + left)


def _sureness(seen: Sequence[Seen]) -> float:
    """Return how surely the names are read; numbers look much alike on their head."""
    names = [one.sure for one in seen if sum(letter.isalpha() for letter in one.text) >= 4]
    return fmean(names) if names else 0.0


def _see(picture: Image.Image) -> list[Seen]:
    import numpy as np

    found = _load()(np.asarray(picture)[:, :, ::-1], return_word_box=True)
    if found.boxes is None or found.txts is None:
        return []
    words = list(found.word_results or ())
    words = words if len(words) == len(found.txts) else [()] * len(found.txts)
    return [
        Seen(text.strip(), tuple((float(x), float(y)) for x, y in box), float(sure), _places(text, inside))
        for text, box, sure, inside in zip(found.txts, found.boxes, found.scores, words, strict=True)
        if text.strip()
    ]


def _places(text: str, inside: Sequence[Any]) -> tuple[tuple[str, float, float, float], ...]:
    """Return the words of a run as the recogniser places them, if it places all of them."""
    placed = tuple(
        (str(word), float(box[0][0]), float(box[1][0]), float(sure)) for word, sure, box in inside if box
    )
    same = [word for word, *_ in placed] == text.split()
    ordered = all(right[1] >= left[1] for left, right in pairwise(placed))
    return placed if same and ordered else ()


def _levelled(seen: Sequence[Seen]) -> list[Seen]:
    slant = slant_of([one.corners for one in seen])
    return [replace(one, corners=slant.level(one.corners)) for one in seen]


def _words(seen: Seen, scale: float) -> Iterator[Word]:
    """Return the words of one run, each in its own box within the run's."""
    ys = [y for _, y in seen.corners]
    top, bottom = fmean(sorted(ys)[:2]), fmean(sorted(ys)[2:])
    inset = MARGIN * (bottom - top)
    top, bottom = (top + inset) / scale, (bottom - inset) / scale
    for text, left, right, sure in _parted(seen, inset):
        if re.search(r"\w|[%<>+-]", text):
            yield Word(text, left / scale, top, right / scale, bottom, 0, round(sure, 3))


def _parted(seen: Seen, inset: float) -> list[tuple[str, float, float, float]]:
    """Part a run into words: at its blanks, and between a symbol and a unit that were read as one."""
    words = list(seen.words) or _by_letters(seen, inset)
    return [part for word in words for part in _unglued(word)]


def _by_letters(seen: Seen, inset: float) -> list[tuple[str, float, float, float]]:
    """Place words in a run by their number of letters."""
    xs = [x for x, _ in seen.corners]
    left, right = min(xs) + inset, max(xs) - inset
    share = (right - left) / len(seen.text)
    return [
        (found[0], left + found.start() * share, left + found.end() * share, seen.sure)
        for found in re.finditer(r"\S+", seen.text)
    ]


def _unglued(word: tuple[str, float, float, float]) -> list[tuple[str, float, float, float]]:
    """Part ``Pppm`` into ``P`` and ``ppm``: narrow blanks are often not seen."""
    text, left, right, sure = word
    text = _known_words(_CAPITAL_I.sub(r"l\1", text))
    word = (text, left, right, sure)
    found = _GLUED.fullmatch(text)
    if not found or not (match_analyte(found[1]) and match_unit(found[2])):
        return [word]
    cut = left + (right - left) * len(found[1]) / len(text)
    return [(found[1], left, cut, sure), (found[2], cut, right, sure)]


def _known_words(text: str) -> str:
    """Put words of the trade right that are often seen wrongly: 'LOl' is 'LOI'."""
    words = load_toml("recognition")["words"]
    return re.sub(r"\w+", lambda found: str(words.get(found[0], found[0])), text)


def _numbered(words: Sequence[Word]) -> tuple[Word, ...]:
    """Count lines from the top, as a person would."""
    placed: list[Word] = []
    line, floor = 0, float("-inf")
    for word in sorted(words, key=lambda w: ((w.top + w.bottom) / 2, w.x0)):
        middle = (word.top + word.bottom) / 2
        if middle > floor:
            line += 1
            floor = middle + 0.5 * (word.bottom - word.top)
        placed.append(replace(word, line=line))
    return tuple(placed)
