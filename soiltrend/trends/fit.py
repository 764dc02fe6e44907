"""All series of a garden fitted at once, with the noise learned from the other beds."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import setting
from soiltrend.regression import (
    CensoredFit,
    Lines,
    band,
    benjamini_hochberg,
    fit_censored,
    fit_lines,
    leave_one_out,
    moderate,
    p_values,
    pooled_noise,
    scatter,
    smallest_detectable,
    t_quantile,
)
from soiltrend.trends.points import Points, Scales
from soiltrend.trends.rows import DAYS_PER_YEAR

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
CENSORED_SHARE = 0.5
REFITS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """One entry per series unless said otherwise; everything on the scale of the fit.

    ``segment`` is the one whose level the change is expressed at, -1 without a slope; ``level`` and
    ``level_x`` are its centre. ``fitted`` and ``band_se`` have one entry per point.
    """

    lines: Lines
    s0: Floats
    d0: Floats
    df: Floats
    s: Floats
    slope: Floats
    se: Floats
    p: Floats
    p_adjusted: Floats
    scatter_ratio: Floats
    scatter_p: Floats
    segment: Ints
    level: Floats
    level_x: Floats
    span: Floats
    end_x: Floats
    detectable: Floats
    censored: Ints
    fitted: Floats
    band_se: Floats
    odd_p: Floats
    tobit: dict[int, CensoredFit] = field(default_factory=dict)


@dataclass(slots=True, kw_only=True)
class _Lines:
    """The parts of a fit that values beyond a limit change, on the way to :class:`Fits`."""

    slope: Floats
    se: Floats
    level: Floats
    level_x: Floats
    segment: Ints
    fitted: Floats
    band_se: Floats


def fit_points(points: Points, scales: Scales, group: Ints, bed: Ints, level: float) -> Fits:
    """Fit every series of a garden.

    Parameters
    ----------
    points, scales
        The data, and what was known of each series before.
    group, bed : integers, one per series
        Analyte and bed: the noise of a series is learned from other beds of the same group.
    level : float
        Level of the intervals, which is also what a verdict must reach.
    """
    measured = points.side == 0
    used = np.where(measured, points.weight, 0.0)
    lines = fit_lines(points.series, points.x, points.y, segment=points.segment, weight=used)
    ratio, shown = scatter(lines, scales.s0, scales.d0)
    censored = np.bincount(points.series[~measured], minlength=scales.s0.size)
    s0, d0 = _learned(lines, scales, group, bed, censored)
    s, df, se = moderate(lines, s0, d0)
    fitted, band_se = band(lines, points.segment, points.x, s)
    alone = np.bincount(points.segment)[points.segment] < 2  # a line through one report says nothing
    fitted[alone] = band_se[alone] = np.nan
    segment, level_x, span, end_x = _extent(points, lines)
    at_level = np.where(segment >= 0, lines.segment_y[segment], np.nan)
    found = _Lines(
        slope=lines.slope.copy(),
        se=se,
        level=at_level,
        level_x=level_x,
        segment=segment,
        fitted=fitted,
        band_se=band_se,
    )
    tobit = _fit_censored(points, lines, (s, s0, d0), found)
    p = p_values(found.slope, found.se, df)
    with np.errstate(divide="ignore", invalid="ignore"):
        sxx = np.where(np.isnan(found.slope), 0.0, (s / found.se) ** 2)
    return Fits(
        lines=lines,
        s0=s0,
        d0=d0,
        df=df,
        s=s,
        slope=found.slope,
        se=found.se,
        p=p,
        p_adjusted=benjamini_hochberg(p),
        scatter_ratio=ratio,
        scatter_p=shown,
        segment=np.where(np.isnan(found.slope), -1, segment),
        level=found.level,
        level_x=level_x,
        span=span,
        end_x=end_x,
        detectable=smallest_detectable(sxx, s0, d0, lines.df, span, level=level),
        censored=censored,
        fitted=found.fitted,
        band_se=found.band_se,
        odd_p=leave_one_out(lines, points.segment, points.x, s0=s0, d0=d0, weight=used)[1],
        tobit=tobit,
    )


def _learned(lines: Lines, scales: Scales, group: Ints, bed: Ints, censored: Ints) -> tuple[Floats, Floats]:
    """Return s0 and d0 of each series after learning from the other beds of its group."""
    ratio, cap = lines.rss / scales.s0**2, setting("defaults", "d0_cap")
    factor, d0 = pooled_noise(ratio, lines.df, group, bed, scales.d0, cap=cap)
    # Values cut off at a limit scatter too little: where an analyte has some, beds only teach more noise.
    blind = (np.bincount(group, censored)[group] > 0) & (factor < 1)
    return scales.s0 * np.where(blind, 1.0, factor), np.where(blind, scales.d0, d0)


def _extent(points: Points, lines: Lines) -> tuple[Ints, Floats, Floats, Floats]:
    """Return per series the latest segment with two dates, its centre, the years covered, and the last x.

    The years covered are those inside segments of two dates or more: nothing is said of the time across a
    break, nor of a report that stands alone.
    """
    count, groups = lines.slope.size, lines.segment_n.size
    far = np.iinfo(np.intp).max // 2
    first, last = np.full(groups, far, dtype=np.intp), np.full(groups, -far, dtype=np.intp)
    used = points.side == 0
    np.minimum.at(first, points.segment[used], points.day[used])
    np.maximum.at(last, points.segment[used], points.day[used])
    wide = np.flatnonzero(last > first)
    # What lies beyond a limit takes part in the fit of a segment that has a line, so its dates count too.
    np.minimum.at(first, points.segment, points.day)
    np.maximum.at(last, points.segment, points.day)
    order = wide[np.lexsort((last[wide], lines.segment_series[wide]))]
    segment = np.full(count, -1, dtype=np.intp)
    segment[lines.segment_series[order]] = order  # the last of each series stays
    have = segment >= 0
    level_x = np.where(have, lines.segment_x[segment], np.nan)
    end_x = np.where(have, last[segment] / DAYS_PER_YEAR, np.nan)
    days = _days_covered(lines.segment_series[wide], first[wide], last[wide], count)
    return segment, level_x, np.where(have, days / DAYS_PER_YEAR, np.nan), end_x


def _days_covered(of: Ints, first: Ints, last: Ints, count: int) -> Floats:
    """Return how many days the segments of each series cover together, overlaps counted once."""
    if not of.size:
        return np.zeros(count)
    order = np.lexsort((first, of))
    of, first, last = of[order], first[order], last[order]
    apart = of * (last.max() - first.min() + 1)  # moves each series behind the one before
    reached = np.maximum.accumulate(last + apart)
    before = np.r_[first[0] + apart[0], reached[:-1]] - apart
    added = np.maximum(last - np.maximum(first, before), 0)
    return np.asarray(np.bincount(of, added, minlength=count), dtype=float)


def _fit_censored(
    points: Points, lines: Lines, noise: tuple[Floats, Floats, Floats], found: _Lines
) -> dict[int, CensoredFit]:
    """Refit series that hold results beyond a limit, in place, with sigma held at the moderated noise.

    ``noise`` is s (which may grow, in place), s0 and d0 of each series: it comes from the measured values,
    and from those beyond a limit that no line through the measured ones can reach. More than half beyond
    the limit, or no two measured dates in one segment: no slope.
    """
    fits: dict[int, CensoredFit] = {}
    for number in np.unique(points.series[points.side != 0]).tolist():
        rows = np.flatnonzero(points.series == number)
        if np.isnan(found.slope[number]) or (points.side[rows] != 0).mean() > CENSORED_SHARE:
            found.slope[number] = found.se[number] = np.nan
            found.fitted[rows] = found.band_se[rows] = np.nan
            continue
        # A segment without any measured value has no level that could be found; a lone report adds nothing.
        lone = np.bincount(points.segment[rows])[points.segment[rows]] < 2
        rows = rows[(lines.segment_n[points.segment[rows]] > 0) & ~lone]
        names, of = np.unique(points.segment[rows], return_inverse=True)
        fit, noise[0][number] = _refit(points, rows, of, [float(part[number]) for part in noise])
        fits[number] = fit
        found.slope[number], found.se[number] = fit.slope, fit.slope_se
        own = int(np.searchsorted(names, found.segment[number]))
        found.level[number] = fit.levels[own] + fit.slope * found.level_x[number]
        found.fitted[rows] = fit.levels[of] + fit.slope * points.x[rows]
        design = np.column_stack([np.eye(names.size)[of], points.x[rows]])
        found.band_se[rows] = np.sqrt(np.einsum("ij,jk,ik->i", design, fit.covariance, design))
    return fits


def _refit(points: Points, rows: Ints, of: Ints, noise: list[float]) -> tuple[CensoredFit, float]:
    """Fit one series and return its noise too, which grows where the line is on the wrong side of a limit.

    A zero among forties is no value below a limit that a line could pass, it scatters at least that far.
    """
    s, s0, d0 = noise
    x, y, side = points.x[rows], points.y[rows], points.side[rows]
    for _ in range(REFITS):
        fit = fit_censored(x, y, side, s, of)
        left = y - (fit.levels[of] + fit.slope * x)
        if not (left * side > 0).any() or np.isinf(d0):
            break
        counted = np.where((side == 0) | (left * side > 0), left, 0.0)
        free = max(rows.size - fit.levels.size - 1, 0)
        wider = float(np.sqrt((d0 * s0**2 + (counted**2).sum()) / (d0 + free)))
        if wider <= 1.01 * s:
            break
        s = wider
    return fit_censored(x, y, side, s, of), s


def limits(fits: Fits, level: float) -> tuple[Floats, Floats]:
    """Return the interval of the slope on the scale of the fit."""
    reach = t_quantile(level, fits.df) * fits.se
    return fits.slope - reach, fits.slope + reach
