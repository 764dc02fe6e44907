"""Reports become points: values on the scale of the fit, one point per segment and date."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import Noise, Prior
from soiltrend.trends.rows import DAYS_PER_YEAR, Rows
from soiltrend.trends.segments import Series

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """One entry per date and segment, in the order of segment and date.

    ``y`` is the mean of the date's results on the scale of the fit; where none was measured it is the
    limit and ``side`` is -1 (below) or +1 (above). ``shown`` is the value in the unit as a reader expects it.
    ``of_row`` leads from a row of the table to its point; ``weight`` is the relative precision 1/variance.
    """

    series: Ints
    segment: Ints
    day: Ints
    x: Floats
    y: Floats
    side: Ints
    shown: Floats
    of_row: Ints
    weight: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """What is known of each series before the fit: its scale and the noise of one report."""

    prior: list[Prior]
    log: Flags
    s0: Floats
    d0: Floats


def from_scale(y: Floats, log: Flags) -> Floats:
    """Return values of the scale of the fit in the unit of the analyte."""
    with np.errstate(over="ignore"):
        return np.where(log, np.exp(np.where(log, y, 0.0)), y)


def priors(rows: Rows, series: Series, noise: Noise) -> list[Prior]:
    """Return the stated noise of each series."""
    different = {(analyte, unit): noise.of(analyte, unit) for _, analyte, unit in rows.groups}
    return [different[rows.groups[group][1:]] for group in series.group]


def make_points(rows: Rows, series: Series, log: Flags) -> Points:
    """Average the results of one date and segment; they share the day, the batch and the season.

    On the log scale a printed zero cannot be drawn: it counts as below half of its last printed place.
    """
    on_log = log[series.series]
    zero = on_log & (rows.value <= 0)
    limit = np.where(zero, _zero_limit(rows, series), rows.value)
    side = np.where(zero & (rows.side == 0), -1, rows.side)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = np.where(on_log, np.log(limit), limit)
    joint = series.segment * (1 << 32) + (rows.day - rows.day.min(initial=0))
    different, first, of_row = np.unique(joint, return_index=True, return_inverse=True)
    of_row = of_row.reshape(-1).astype(np.intp)
    count = different.size
    measured = side == 0
    n_measured = np.bincount(of_row[measured], minlength=count)
    mean = np.bincount(of_row[measured], y[measured], minlength=count) / np.maximum(n_measured, 1)
    lowest, highest = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(lowest, of_row[side < 0], y[side < 0])
    np.maximum.at(highest, of_row[side > 0], y[side > 0])
    # Where one date has a "<" and a ">" nothing useful is said; the "<" is taken.
    limit_side = np.where(np.isfinite(lowest), -1, 1)
    bound = np.where(limit_side < 0, lowest, highest)
    point_side = np.where(n_measured > 0, 0, limit_side)
    value = np.where(n_measured > 0, mean, bound)
    point_series = series.series[first]
    return Points(
        series=point_series,
        segment=series.segment[first],
        day=rows.day[first],
        x=rows.day[first] / DAYS_PER_YEAR,
        y=value,
        side=point_side.astype(np.intp),
        shown=_shown(rows, of_row, value, (n_measured > 1) & log[point_series]),
        of_row=of_row,
        weight=np.ones(count),
    )


def _shown(rows: Rows, of_row: Ints, y: Floats, geometric: Flags) -> Floats:
    """Return the value of a date as a reader expects it: as printed, or the mean of several results."""
    mean = np.bincount(of_row, rows.value, minlength=y.size) / np.maximum(np.bincount(of_row), 1)
    lowest, highest = np.full(y.size, np.inf), np.full(y.size, -np.inf)
    np.minimum.at(lowest, of_row, rows.value)
    np.maximum.at(highest, of_row, rows.value)
    different = highest > lowest  # equal results are shown as printed, without the dust of exp(ln(x))
    mean = np.where(different, mean, lowest)
    return np.where(geometric & different, from_scale(y, geometric), mean)


def _zero_limit(rows: Rows, series: Series) -> Floats:
    """Return half the last printed place of each row, else of its series, else of the smallest value."""
    count = len(series.group)
    smallest = np.full(count, np.inf)
    known = np.isfinite(rows.step) & (rows.step > 0)
    np.minimum.at(smallest, series.series[known], rows.step[known])
    positive = rows.value > 0
    least = np.full(count, np.inf)
    np.minimum.at(least, series.series[positive], rows.value[positive])
    fallback = np.where(np.isfinite(smallest), smallest, least)
    step = np.where(np.isfinite(fallback), fallback, 1.0)[series.series]
    return np.asarray(step / 2, dtype=float)


def stated_noise(rows: Rows, series: Series, points: Points, prior: list[Prior], log: Flags) -> Scales:
    """Return the noise of one report of each series, at the level of that series.

    Near the limit of the method the laboratory's absolute noise and the rounding of the printed number
    count: ``CV² + (a/y)² + step²/(12 y²)`` with y the geometric mean, of which the log scale takes ln(1 + …);
    ``s0² + a² + step²/12`` on the raw scale.
    """
    count = len(prior)
    s0, a = np.array([p.s0 for p in prior]), np.array([p.near_limit for p in prior])
    measured = points.side == 0
    n = np.bincount(points.series[measured], minlength=count)
    level = np.bincount(points.series[measured], points.y[measured], minlength=count) / np.maximum(n, 1)
    y = np.where(log & (n > 0), from_scale(level, log), np.where(log, np.inf, 1.0))
    extra = (a**2 + _rounding(rows, series) ** 2 / 12) / y**2
    variance = np.where(log, np.log1p(np.expm1(np.where(log, s0**2, 0.0)) + extra), s0**2 + extra)
    return Scales(prior=prior, log=log, s0=np.sqrt(variance), d0=np.array([p.d0 for p in prior], dtype=float))


def _rounding(rows: Rows, series: Series) -> Floats:
    """Return the step to which the values of each series are rounded, 0 where unknown.

    Spreadsheets drop the zero of 5.0, so the finest step counts within a segment, which is one laboratory's;
    of several segments the coarsest one counts.
    """
    known = np.isfinite(rows.step) & (rows.side == 0)
    finest = np.full(len(series.key), np.inf)
    np.minimum.at(finest, series.segment[known], rows.step[known])
    coarsest = np.zeros(len(series.group))
    np.maximum.at(coarsest, series.series[known], finest[series.segment[known]])
    return coarsest
