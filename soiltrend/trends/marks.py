"""The points of each series as a chart needs them: value, line, band and the reach of one report's noise."""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from soiltrend.regression import t_quantile
from soiltrend.trends.model import Point
from soiltrend.trends.points import from_scale
from soiltrend.trends.work import Work, day_of

Floats = NDArray[np.float64]


def points_of(work: Work) -> list[tuple[Point, ...]]:
    """Return the points of each series, one per row of the long table, in the order of time."""
    rows, points, fits = work.rows, work.points, work.fits
    at = points.of_row
    reach = (t_quantile(work.level, fits.df)[points.series] * fits.band_se)[at]
    log = work.scales.log[points.series][at]
    fitted = fits.fitted[at]
    line, low, high = (from_scale(v, log) for v in (fitted, fitted - reach, fitted + reach))
    noise_low, noise_high = _noise_range(work, log)
    segment = _local_segments(work)[at]
    columns = zip(
        rows.index.tolist(),
        rows.day.tolist(),
        rows.value.tolist(),
        rows.side.tolist(),
        segment.tolist(),
        *(_optional(values) for values in (line, low, high)),
        noise_low.tolist(),
        noise_high.tolist(),
        rows.source,
        rows.place,
        _optional(fits.odd_p[at]),
        strict=True,
    )
    made = [_point(*column) for column in columns]
    order = np.lexsort((rows.index, rows.day))
    grouped: list[list[Point]] = [[] for _ in work.series.group]
    for position, number in zip(order.tolist(), work.series.series[order].tolist(), strict=True):
        grouped[number].append(made[position])
    return [tuple(group) for group in grouped]


def _point(row: int, day: int, value: float, side: int, segment: int, *rest: Any) -> Point:
    fitted, low, high, noise_low, noise_high, source, place, odd_p = rest
    return Point(
        row=row,
        sampled_on=day_of(day),
        value=value,
        qualifier={-1: "<", 1: ">"}.get(side, ""),
        segment=segment,
        fitted=fitted,
        low=low,
        high=high,
        noise_low=noise_low,
        noise_high=noise_high,
        source=source,
        place=place,
        odd_p=odd_p,
    )


def _optional(values: Floats) -> list[float | None]:
    return [value if math.isfinite(value) else None for value in values.tolist()]


def _local_segments(work: Work) -> NDArray[np.intp]:
    """Return segment numbers that start from 0 in each series, in the order of their first report."""
    points = work.points
    start = np.full(int(points.segment.max(initial=-1)) + 1, np.iinfo(np.intp).max)
    np.minimum.at(start, points.segment, points.day)
    owner = np.zeros(start.size, dtype=np.intp)
    owner[points.segment] = points.series
    order = np.lexsort((start, owner))
    first = np.searchsorted(owner[order], owner[order], side="left")
    local = np.empty(start.size, dtype=np.intp)
    local[order] = np.arange(start.size) - first
    return local[points.segment]


def _noise_range(work: Work, log: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return what one report of the same soil could print, by the t of the noise figure's own certainty."""
    rows, of, at = work.rows, work.series.series, work.points.of_row
    reach = (t_quantile(0.95, work.fits.d0) * work.fits.s0)[of]
    factor = from_scale(reach, log)
    low = np.where(log, rows.value / factor, rows.value - reach)
    high = np.where(log, rows.value * factor, rows.value + reach)
    limit = from_scale(work.points.y[at], log)
    below = work.points.side[at] < 0
    return np.where(below, np.minimum(0.0, rows.value), low), np.where(below, limit, high)
