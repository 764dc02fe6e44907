"""Straight lines through many short series at once: three passes of ``bincount``, no loop over series.

The model of one series is ``y = level(segment) + slope * x + e``, ``Var e = sigma² / w``; sigma² follows a
scaled inverse chi-square with ``d0`` degrees of freedom around ``s0²``. The interval is the exact posterior
with flat priors on levels and slope, which is the moderated t of Smyth (2004, Stat. Appl. Genet. Mol. Biol.
3:3) with given hyperparameters; d0 = infinity is known-variance weighted least squares (ISO/TS 28037:2010
clause 6), d0 = 0 is ordinary least squares.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, fdtrc, ndtr, ndtri, stdtr, stdtrit

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Least-squares lines. The first group has one entry per series, the second one per segment.

    ``slope`` is NaN where no segment holds two different x. ``df`` = reports - segments - 1, never below 0.
    ``residuals`` has one entry per row; rows of weight 0 took no part and have their distance from the line.
    """

    slope: Floats
    sxx: Floats
    rss: Floats
    df: Floats
    n: Ints
    n_segments: Ints

    segment_series: Ints
    segment_n: Ints
    segment_weight: Floats
    segment_x: Floats
    segment_y: Floats

    residuals: Floats


def fit_lines(
    series: ArrayLike,
    x: ArrayLike,
    y: ArrayLike,
    *,
    segment: ArrayLike | None = None,
    weight: ArrayLike = 1.0,
) -> Lines:
    """Fit one slope per series with one level per segment.

    Parameters
    ----------
    series : integers 0 … S-1, one per row, in any order
        The series a row belongs to.
    x, y : one per row
        Time and value; y of rows with weight 0 may be anything finite.
    segment : integers 0 … G-1, one per row, optional
        Stretches with a level of their own, numbered over all series; one per series when left out.
    weight : one per row or a number
        Relative precision 1/variance; 0 leaves a row out.

    Returns
    -------
    Lines

    Raises
    ------
    ValueError
        The arrays differ in length or hold a number that is not finite.
    """
    of_series, of_segment, xs, ys, w = _checked(series, segment, x, y, weight)
    count, groups = _size(of_series), _size(of_segment)
    used = w > 0
    group_series = np.zeros(groups, dtype=np.intp)
    group_series[of_segment] = of_series
    group_n = np.bincount(of_segment[used], minlength=groups)
    group_w, mean_x, mean_y = _segment_means(of_segment, xs, ys, w, groups)
    dx, dy = xs - mean_x[of_segment], ys - mean_y[of_segment]
    sxx = _sums(of_series, w * dx * dx, count)
    sxy = _sums(of_series, w * dx * dy, count)
    slope = np.full(count, np.nan)
    np.divide(sxy, sxx, out=slope, where=sxx > _negligible(of_series, xs, w, count))
    # A series without a slope keeps the residuals about its levels, and no degrees of freedom.
    residuals = dy - np.nan_to_num(slope)[of_series] * dx
    rss = _sums(of_series, w * residuals * residuals, count)
    n = np.bincount(of_series[used], minlength=count)
    levels = np.bincount(group_series[group_n > 0], minlength=count)
    df = np.where(np.isnan(slope), 0, np.maximum(n - levels - 1, 0)).astype(float)
    # With nothing left over the line goes through the points; what remains is rounding of the computer.
    rss = np.where(df > 0, rss, 0.0)
    return Lines(
        slope=slope,
        sxx=sxx,
        rss=rss,
        df=df,
        n=n,
        n_segments=levels,
        segment_series=group_series,
        segment_n=group_n,
        segment_weight=group_w,
        segment_x=mean_x,
        segment_y=mean_y,
        residuals=residuals,
    )


def _checked(
    series: ArrayLike, segment: ArrayLike | None, x: ArrayLike, y: ArrayLike, weight: ArrayLike
) -> tuple[Ints, Ints, Floats, Floats, Floats]:
    of_series = np.asarray(series, dtype=np.intp)
    of_segment = of_series if segment is None else np.asarray(segment, dtype=np.intp)
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    w = np.broadcast_to(np.asarray(weight, dtype=float), xs.shape)
    if not of_series.shape == of_segment.shape == xs.shape == ys.shape:
        raise ValueError("series, segment, x and y must have the same length")
    if not (np.isfinite(xs).all() and np.isfinite(ys).all() and np.isfinite(w).all() and (w >= 0).all()):
        raise ValueError("x, y and weight must be finite, weights not negative")
    return of_series, of_segment, xs, ys, w


def _size(codes: Ints) -> int:
    return int(codes.max()) + 1 if codes.size else 0


def _sums(codes: Ints, values: Floats, count: int) -> Floats:
    return np.asarray(np.bincount(codes, values, minlength=count), dtype=float)


def _segment_means(
    of_segment: Ints, x: Floats, y: Floats, w: Floats, groups: int
) -> tuple[Floats, Floats, Floats]:
    total = _sums(of_segment, w, groups)
    safe = np.where(total > 0, total, 1.0)
    mean_x = np.bincount(of_segment, w * x, minlength=groups) / safe
    mean_y = np.bincount(of_segment, w * y, minlength=groups) / safe
    return total, mean_x, mean_y


def _negligible(of_series: Ints, x: Floats, w: Floats, count: int) -> Floats:
    """Return what Sxx of equal x can come to by rounding alone."""
    largest = np.bincount(of_series, w * x * x, minlength=count)
    return largest * (64 * np.finfo(float).eps) ** 2


def moderate(lines: Lines, s0: ArrayLike, d0: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Shrink each residual variance towards the stated noise.

    ``s~² = (d0 s0² + RSS) / (d0 + d)``; d0 may be 0 or infinite.

    Returns
    -------
    s : SD of one report of weight 1, NaN where neither prior nor residuals say anything
    df : d0 + d
    se : standard error of the slope, ``s / sqrt(Sxx)``
    """
    stated, prior = np.broadcast_arrays(np.asarray(s0, dtype=float), np.asarray(d0, dtype=float))
    stated, prior = np.broadcast_to(stated, lines.rss.shape), np.broadcast_to(prior, lines.rss.shape)
    known = np.isinf(prior)
    finite = np.where(known, 1.0, prior)
    df = finite + lines.df
    with np.errstate(invalid="ignore", divide="ignore"):
        variance = np.where(known, stated**2, (finite * stated**2 + lines.rss) / df)
        se = np.where(np.isnan(lines.slope), np.nan, np.sqrt(variance / lines.sxx))
    return np.sqrt(variance), np.where(known, np.inf, df), se


def t_quantile(level: float, df: ArrayLike) -> Floats:
    """Return the two-sided t factor of an interval of ``level``; the normal one for infinite df."""
    freedom = np.asarray(df, dtype=float)
    upper = 0.5 + level / 2
    # Many series share few degrees of freedom, and the quantile is the slowest step of all.
    different = np.unique(freedom)
    usable = np.where(np.isfinite(different) & (different > 0), different, np.nan)
    with np.errstate(invalid="ignore"):
        factor = np.where(np.isposinf(different), ndtri(upper), stdtrit(usable, upper))
    return np.asarray(factor[np.searchsorted(different, freedom)], dtype=float)


def two_sided_p(t: ArrayLike, df: ArrayLike) -> Floats:
    """Return the two-sided p value of a t statistic, tails computed directly so that small p stay exact."""
    below = -np.abs(np.asarray(t, dtype=float))
    freedom = np.asarray(df, dtype=float)
    finite = stdtr(np.where(np.isposinf(freedom) | (freedom <= 0), 1.0, freedom), below)
    p = 2 * np.where(np.isposinf(freedom), ndtr(below), finite)
    return np.asarray(np.where(freedom > 0, p, np.nan), dtype=float)


def p_values(slope: ArrayLike, se: ArrayLike, df: ArrayLike) -> Floats:
    """Return two-sided p values of slopes against no change."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return two_sided_p(np.asarray(slope, dtype=float) / np.asarray(se, dtype=float), df)


def scatter(lines: Lines, s0: ArrayLike, d0: ArrayLike) -> tuple[Floats, Floats]:
    """Compare the spread of the points with the stated noise.

    Returns
    -------
    ratio : residual SD / s0, NaN where nothing is left over
    p : upper tail of F(d, d0), of chi-square / d where d0 is infinite
    """
    stated = np.broadcast_to(np.asarray(s0, dtype=float), lines.rss.shape)
    prior = np.broadcast_to(np.asarray(d0, dtype=float), lines.rss.shape)
    d = np.where(lines.df > 0, lines.df, np.nan)
    f = lines.rss / d / stated**2
    shown = np.where(np.isposinf(prior), chdtrc(d, d * f), fdtrc(d, np.where(np.isinf(prior), 1.0, prior), f))
    return np.sqrt(f), np.asarray(np.where(prior > 0, shown, np.nan), dtype=float)


def band(lines: Lines, segment: ArrayLike, x: ArrayLike, s: ArrayLike) -> tuple[Floats, Floats]:
    """Return the fitted line and its standard error at x within the given segments.

    ``s`` is the SD of one report per series, as from :func:`moderate`. NaN where the series has no slope.
    """
    at = np.asarray(segment, dtype=np.intp)
    of_series = lines.segment_series[at]
    dx = np.asarray(x, dtype=float) - lines.segment_x[at]
    with np.errstate(invalid="ignore", divide="ignore"):
        fitted = lines.segment_y[at] + lines.slope[of_series] * dx
        leverage = 1 / lines.segment_weight[at] + dx * dx / lines.sxx[of_series]
        se = np.asarray(s, dtype=float)[of_series] * np.sqrt(leverage)
    return fitted, np.where(np.isnan(fitted), np.nan, se)


def leave_one_out(
    lines: Lines, segment: ArrayLike, x: ArrayLike, *, s0: ArrayLike, d0: ArrayLike, weight: ArrayLike = 1.0
) -> tuple[Floats, Floats]:
    """Judge each row against the line of the others, with the noise they and the prior state.

    ``t_i = e_i sqrt(w_i) / (s~_(i) sqrt(1 - h_i))`` on ``d0 + d - 1`` degrees of freedom (the externally
    studentised residual with a moderated variance). Bonferroni over the n rows of the series.

    Returns
    -------
    t : signed; NaN where the row alone carries its segment or nothing is left over
    p : two-sided, times n, at most 1
    """
    at = np.asarray(segment, dtype=np.intp)
    of_series = lines.segment_series[at]
    w = np.broadcast_to(np.asarray(weight, dtype=float), at.shape)
    stated = np.broadcast_to(np.asarray(s0, dtype=float), lines.rss.shape)[of_series]
    prior = np.broadcast_to(np.asarray(d0, dtype=float), lines.rss.shape)[of_series]
    dx = np.asarray(x, dtype=float) - lines.segment_x[at]
    with np.errstate(invalid="ignore", divide="ignore"):
        leverage = w * (1 / lines.segment_weight[at] + dx * dx / lines.sxx[of_series])
        free = np.where((leverage < 1 - 1e-9) & (lines.df[of_series] > 0) & (w > 0), 1 - leverage, np.nan)
        without = np.maximum(lines.rss[of_series] - w * lines.residuals**2 / free, 0.0)
        df = prior + lines.df[of_series] - 1
        finite = np.isfinite(prior)
        pooled = (np.where(finite, prior, 0) * stated**2 + without) / np.where(df > 0, df, np.nan)
        variance = np.where(finite, pooled, stated**2)
        t = lines.residuals * np.sqrt(w / (variance * free))
    return t, np.minimum(two_sided_p(t, df) * lines.n[of_series], 1.0)


def serial_inflation(rho: float) -> float:
    """Return the factor on the SE of a slope if reports follow each other with correlation ``rho``.

    The variance grows by about (1 + rho) / (1 - rho); rho cannot be estimated from so few years, so this is a
    sensitivity figure and never the interval itself.
    """
    return float(np.sqrt((1 + rho) / (1 - rho)))
