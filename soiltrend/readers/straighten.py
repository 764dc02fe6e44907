"""Crooked pages: by how much a picture is turned, and lines that do not run level on a photograph."""

from __future__ import annotations

from collections.abc import Sequence
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
# Boxes at least this many times as wide as high say how their line runs; so many of them are needed.
LONG, ENOUGH = 4.0, 8
CLEAR = 4.0  # a slope's estimate over its standard error


def skew_of(picture: Image.Image) -> float:
    """Return the degrees to the left by which a picture must be turned for its lines to run level.

    The ink is projected on a margin at many angles; lines that run level give the sharpest rows. Lines that
    run up or down the page are levelled too. 0 for a page without ink.
    """
    x, y = _ink(picture)
    if len(x) < 50:
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


def straightened(boxes: Sequence[Corners]) -> list[Corners]:
    """Return the boxes moved up or down so that the lines of a slanted photograph run level.

    The long boxes say how steep the lines run; a straight-line fit of that over the page's height is taken
    only where it is clear. Paper that is bent is not flattened.
    """
    x, y, slope = _long(boxes)
    if len(x) < ENOUGH:
        return list(boxes)
    base, change, middle = _fit(y, slope)
    return [
        tuple((px, py - px * (base + change * (_middle(box)[1] - middle))) for px, py in box) for box in boxes
    ]


def _middle(box: Corners) -> tuple[float, float]:
    return sum(x for x, _ in box) / len(box), sum(y for _, y in box) / len(box)


def _long(boxes: Sequence[Corners]) -> tuple[Numbers, Numbers, Numbers]:
    found = []
    for box in boxes:
        (x0, y0), (x1, y1), _, (x3, y3) = box
        (x2, y2) = box[2]
        width, height = x1 - x0, max(1.0, y3 - y0)
        if width > LONG * height:
            found.append((*_middle(box), ((y1 - y0) + (y2 - y3)) / ((x1 - x0) + (x2 - x3))))
    columns = np.array(found, dtype=np.float64).reshape(-1, 3)
    return columns[:, 0], columns[:, 1], columns[:, 2]


def _fit(y: Numbers, slope: Numbers) -> tuple[float, float, float]:
    """Return slope, its change with height, and the height at which it is told; what is unclear is 0."""
    middle = float(np.mean(y))
    base = float(np.median(slope))
    spread = float(np.sum((y - middle) ** 2)) or 1.0
    change = float(np.sum((y - middle) * (slope - base))) / spread
    left = slope - base - change * (y - middle)
    noise = float(np.sqrt(np.sum(left**2) / max(1, len(y) - 2)))
    clear_change = abs(change) > CLEAR * noise / np.sqrt(spread)
    clear_base = abs(base) > CLEAR * noise / np.sqrt(len(y))
    return (base if clear_base or clear_change else 0.0), (change if clear_change else 0.0), middle
