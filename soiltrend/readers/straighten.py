"""Crooked pages: by how much a picture is turned, and lines that do not run level on a photograph."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL import Image

Corners = tuple[tuple[float, float], ...]
Numbers = NDArray[np.float64]

# Degrees looked at to either side, and the two steps in which that is done.
WIDEST, COARSE, FINE = 12.0, 0.5, 0.05
LOOKED_AT = 900  # pixels of the long side
DARKER = 18  # levels of grey below the neighbourhood: ink
MOST_INK = 40_000
LEAST_INK = 50
# Boxes so many times as wide as high show the slope of their line.
LONG, FEWEST = 4.0, 6
# Slopes looked at around that of the long boxes, and changes of slope from the upper to the lower edge.
NEAR, SLANTED, SLANT_STEP = 0.02, 0.12, 0.004
ROW = 0.4  # of the boxes' height: what stands in one row
UNLIKELY = 0.03  # of the clearness: what a way out at the edge of those looked at must be better by


def skew_of(picture: Image.Image) -> float:
    """Return the degrees to the left by which a picture must be turned for its lines to run level.

    The ink is projected on a margin at many angles; lines that run level give the sharpest rows. Lines that
    run up or down the page are levelled too. 0 for a page without ink.
    """
    x, y = _ink(picture)
    if len(x) < LEAST_INK:
        return 0.0
    best, sharp = 0.0, 0.0
    for along, across in ((x, y), (y, -x)):
        angle = _sharpest(along, across, np.arange(-WIDEST, WIDEST + COARSE, COARSE))
        angle = _sharpest(along, across, np.arange(angle - COARSE, angle + COARSE, FINE))
        if _sharpness(along, across, angle) > sharp:
            best, sharp = angle, _sharpness(along, across, angle)
    return 0.0 if abs(best) >= WIDEST else best


def _ink(picture: Image.Image) -> tuple[Numbers, Numbers]:
    """Return where the ink is, on a smaller copy; shadows on a photograph are no ink."""
    from PIL import ImageFilter

    grey = picture.convert("L")
    grey.thumbnail((LOOKED_AT, LOOKED_AT))
    around = np.asarray(grey.filter(ImageFilter.BoxBlur(12)), dtype=np.float64)
    ys, xs = np.nonzero(np.asarray(grey, dtype=np.float64) < around - DARKER)
    step = max(1, len(xs) // MOST_INK)
    return xs[::step].astype(np.float64), ys[::step].astype(np.float64)


def _sharpest(along: Numbers, across: Numbers, angles: Numbers) -> float:
    return float(max(angles, key=lambda angle: _sharpness(along, across, float(angle))))


def _sharpness(along: Numbers, across: Numbers, angle: float) -> float:
    """Return how sharply the rows part at an angle: the sum of squares of the ink in each row."""
    turn = np.deg2rad(angle)
    rows = across * np.cos(turn) - along * np.sin(turn)
    counts = np.bincount((rows - rows.min()).astype(np.int64))
    return float(np.sum(counts.astype(np.float64) ** 2))


@dataclass(frozen=True, slots=True)
class Slant:
    """How lines run: their slope at ``middle``, and its change over ``length`` pixels down the page."""

    slope: float = 0.0
    change: float = 0.0
    middle: tuple[float, float] = (0.0, 0.0)
    length: float = 1.0

    def level(self, box: Corners) -> Corners:
        """Return a box moved up or down, so that what stands on one line has one height."""
        x, y = (sum(part) / len(box) for part in zip(*box, strict=True))
        slope = self.slope + self.change * (y - self.middle[1]) / self.length
        move = (x - self.middle[0]) * slope
        return tuple((left, top - move) for left, top in box)


def slope_of(boxes: Sequence[Corners]) -> float:
    """Return the slope of the lines as the long boxes of words show it: their median by width."""
    found = sorted((_slope(box), _width(box)) for box in boxes if _width(box) > LONG * _height(box))
    half = sum(width for _, width in found) / 2
    seen = 0.0
    for slope, width in found:
        seen += width
        if seen >= half:
            return slope
    return 0.0


def slant_of(boxes: Sequence[Corners]) -> Slant:
    """Return the slant under which the boxes stand in the clearest rows.

    A page photographed from one side has lines that rise above and fall below, or the other way round. What
    is looked at lies near the slope of the long boxes, so that no diagonal of a table is taken for a row.
    Paper that is bent is not flattened.
    """
    if len(boxes) < FEWEST:
        return Slant()
    x, y = np.array([point for box in boxes for point in _ends(box)], dtype=np.float64).T
    step = ROW * float(np.median([_height(box) for box in boxes]))
    middle, length = (float(x.mean()), float(y.mean())), float(np.ptp(y)) or 1.0
    along, down = x - middle[0], (y - middle[1]) / length

    def clearness(way: tuple[float, float]) -> float:
        rows = (y - along * (way[0] + way[1] * down)) / step
        distance = abs(way[0] - base) / NEAR + abs(way[1]) / SLANTED
        return (_in_rows(rows) + _in_rows(rows + 0.5)) * (1 - UNLIKELY * distance)

    base = slope_of(boxes)
    slopes = base + np.arange(-NEAR, NEAR + SLANT_STEP, SLANT_STEP)
    changes = np.arange(-SLANTED, SLANTED + SLANT_STEP, SLANT_STEP)
    slope, change = max(((float(s), float(c)) for s in slopes for c in changes), key=clearness)
    return Slant(slope, change, middle, length)


def _in_rows(rows: Numbers) -> float:
    counts = np.unique(np.floor(rows), return_counts=True)[1]
    return float(np.sum(counts.astype(np.float64) ** 2))


def _ends(box: Corners) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the middles of the left and right edge."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = box
    return ((x0 + x3) / 2, (y0 + y3) / 2), ((x1 + x2) / 2, (y1 + y2) / 2)


def _width(box: Corners) -> float:
    left, right = _ends(box)
    return right[0] - left[0]


def _height(box: Corners) -> float:
    return max(1.0, (box[3][1] - box[0][1] + box[2][1] - box[1][1]) / 2)


def _slope(box: Corners) -> float:
    left, right = _ends(box)
    return (right[1] - left[1]) / (right[0] - left[0])
