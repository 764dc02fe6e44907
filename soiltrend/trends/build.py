"""From arrays to the dataclasses that the other rooms read, in the unit of the series."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import Prior, noise_text, setting
from soiltrend.regression import moderate, p_values, serial_inflation, slope_bounds, t_quantile
from soiltrend.trends.fit import Fits, limits
from soiltrend.trends.marks import points_of
from soiltrend.trends.model import Point, Trend
from soiltrend.trends.points import from_scale
from soiltrend.trends.rows import Rows
from soiltrend.trends.segments import Key
from soiltrend.trends.words import sentence
from soiltrend.trends.work import Work, day_of

Floats = NDArray[np.float64]
OLS_DF = 2
DRIFT_REPORTS = 8


def build_trends(work: Work) -> list[Trend]:
    """Return one Trend per series, in the order of the series."""
    columns = _columns(work)
    points = points_of(work)
    family = int(np.isfinite(work.fits.p).sum())
    rows_of = _members(work.points.series, len(work.series.group))
    trends = []
    for number in range(len(work.series.group)):
        numbers = {name: _plain(values[number]) for name, values in columns.items()}
        trend = _trend(work, number, numbers, points[number], rows_of[number])
        trends.append(replace(trend, sentence=sentence(trend, family)))
    return trends


def _members(codes: NDArray[np.intp], count: int) -> list[NDArray[np.intp]]:
    """Return the positions of each code, in the order they have."""
    order = np.argsort(codes, kind="stable")
    return np.split(order, np.cumsum(np.bincount(codes, minlength=count))[:-1])


def _plain(value: Any) -> Any:
    """Return a Python number, None for one that does not apply."""
    number = value.item() if isinstance(value, np.generic) else value
    return None if isinstance(number, float) and not np.isfinite(number) else number


def in_unit(fits: Fits, log: NDArray[np.bool_], b: Floats) -> Floats:
    """Return slopes on the scale of the fit as change per year in the unit, at the level of the series.

    On the log scale the tangent of the curve where it passes the level: like a straight line's slope it
    does not depend on how many years are looked at, and times the span it is the total change nearly.
    """
    return np.where(log, from_scale(fits.level, log) * b, b)


def total_in_unit(fits: Fits, log: NDArray[np.bool_], b: Floats) -> Floats:
    """Return the change of the line over the years covered, ending at the last report of its segment."""
    after = fits.end_x - fits.level_x
    with np.errstate(over="ignore", invalid="ignore"):
        ratio = from_scale(fits.level, log) * (np.exp(b * after) - np.exp(b * (after - fits.span)))
        return np.where(log, ratio, b * fits.span)


def _detectable(fits: Fits, log: NDArray[np.bool_]) -> Floats:
    """Return the smallest detectable rise in the unit, from the level of the series."""
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(log, from_scale(fits.level, log) * np.expm1(fits.detectable), fits.detectable)


def _columns(work: Work) -> dict[str, Floats]:
    """Return the numbers of the trends as arrays, NaN where one does not apply."""
    fits, log, level = work.fits, work.scales.log, work.level
    low, high = limits(fits, level)
    told = fits.lines.df >= OLS_DF  # never a p at three reports, nor at what carries no more than three
    return {
        "slope_per_year": in_unit(fits, log, fits.slope),
        "ci_low": in_unit(fits, log, low),
        "ci_high": in_unit(fits, log, high),
        "p_value": np.where(told, fits.p, np.nan),
        "p_adjusted": np.where(told, fits.p_adjusted, np.nan),
        "total_change": total_in_unit(fits, log, fits.slope),
        "total_low": total_in_unit(fits, log, low),
        "total_high": total_in_unit(fits, log, high),
        "smallest_detectable": _detectable(fits, log),
        "slope_fit": fits.slope,
        "se_fit": fits.se,
        "s0": fits.s0,
        "d0": fits.d0,
        "df": fits.df,
        "s0_stated": work.scales.s0,
        "scatter_ratio": fits.scatter_ratio,
        "scatter_p": fits.scatter_p,
        "sen_slope": in_unit(fits, log, work.ranks.sen_slope),
        "mann_kendall_p": work.ranks.p,
        "percent_per_year": _percent(fits.slope, log),
        "span_years": np.where(np.isnan(fits.slope), np.nan, fits.span),
        "level": np.where(np.isnan(fits.slope), np.nan, from_scale(fits.level, log)),
        **_side_lines(work),
        "n": np.bincount(work.points.series, minlength=fits.slope.size),
        "n_censored": fits.censored,
    }


def _percent(b: Floats, log: NDArray[np.bool_]) -> Floats:
    """Return the yearly growth in percent; it only means something on the log scale."""
    with np.errstate(over="ignore"):
        return np.where(log, 100 * np.expm1(b), np.nan)


def _side_lines(work: Work) -> dict[str, Floats]:
    """Return the ordinary least-squares interval, and the one that allows for slow drift."""
    fits, log, level = work.fits, work.scales.log, work.level
    _, df, se = moderate(fits.lines, 1.0, 0.0)
    told = (fits.lines.df >= OLS_DF) & (fits.censored == 0)
    se = np.where(told, se, np.nan)
    reach = t_quantile(level, df) * se
    many = fits.lines.n >= DRIFT_REPORTS
    drift = np.where(many, serial_inflation(setting("defaults", "serial_rho")), np.nan)
    wide = drift * t_quantile(level, fits.df) * fits.se
    return {
        "ols_low": in_unit(fits, log, fits.slope - reach),
        "ols_high": in_unit(fits, log, fits.slope + reach),
        "ols_p": p_values(fits.slope, se, df),
        "drift_low": in_unit(fits, log, fits.slope - wide),
        "drift_high": in_unit(fits, log, fits.slope + wide),
    }


def _trend(
    work: Work,
    number: int,
    numbers: dict[str, Any],
    points: tuple[Point, ...],
    members: NDArray[np.intp],
) -> Trend:
    fits, prior = work.fits, work.scales.prior[number]
    bed, analyte, unit = work.rows.groups[work.series.group[number]]
    by_day = members[np.lexsort((members, work.points.day[members]))]
    first, last = _ends(work, by_day)
    segment = int(fits.segment[number])
    named = work.series.key[segment if segment >= 0 else int(work.points.segment[last])]
    bounds = _bounds(work, number, members) if numbers["n_censored"] and segment >= 0 else (None, None)
    return Trend(
        bed=bed,
        analyte=analyte,
        unit=unit,
        method=_name(work.rows.method_names, named[1]),
        segments=len(set(work.points.segment[members].tolist())),
        first_on=day_of(work.points.day[first]),
        last_on=day_of(work.points.day[last]),
        first_value=float(work.points.shown[first]),
        last_value=float(work.points.shown[last]),
        ci_level=work.level,
        estimator=_estimator(numbers["slope_fit"], number in fits.tobit),
        verdict=_verdict(fits, number, work.level),
        scale=prior.scale,
        breaks=_breaks(work, by_day),
        points=points,
        sentence="",
        noise_text=_noise_text(prior, fits.s0[number]),
        noise_source=prior.source,
        bound_low=bounds[0],
        bound_high=bounds[1],
        remarks=tuple(f"{name}-not-always-named" for name in work.series.filled[number]),
        **numbers,
    )


def _noise_text(prior: Prior, s0: float) -> str:
    size = 100 * math.sqrt(math.expm1(s0 * s0)) if prior.scale == "log" else float(s0)
    return noise_text(size, prior.scale, prior.unit)


def _name(names: list[str], code: int) -> str:
    return names[code] if code >= 0 else ""


def _estimator(slope: float | None, censored: bool) -> str:
    if slope is None:
        return "none"
    return "known-noise-censored" if censored else "known-noise"


def _verdict(fits: Fits, number: int, level: float) -> str:
    """Return the verdict: the interval excludes no change, and so it does among all that is printed.

    At two and three reports no p value is shown, but the known-noise t has one and it takes part in the
    adjustment: the more series are looked at, the more a single one must show. Within one season a steady
    rise (a soil that warms from spring to summer) is the time of year, never a change from year to year.
    """
    slope, p, adjusted = fits.slope[number], fits.p[number], fits.p_adjusted[number]
    if np.isnan(slope):
        return "too-few"
    if fits.span[number] >= setting("defaults", "shortest_years") and p < 1 - level and adjusted <= 1 - level:
        return "rising" if slope > 0 else "falling"
    return "no-change-shown"


def _ends(work: Work, by_day: NDArray[np.intp]) -> tuple[int, int]:
    """Return the first and the last point: where one day has several, those of one laboratory and method."""
    day, segment = work.points.day[by_day], work.points.segment[by_day]
    starts, ends = np.flatnonzero(day == day[0]), np.flatnonzero(day == day[-1])
    both = np.intersect1d(segment[starts], segment[ends])
    if both.size:
        starts, ends = starts[segment[starts] == both[0]], ends[segment[ends] == both[0]]
    return int(by_day[starts[0]]), int(by_day[ends[-1]])


def _breaks(work: Work, by_day: NDArray[np.intp]) -> tuple[str, ...]:
    """Say each change of laboratory, method or layer, in the order of time.

    Two laboratories that test the same day run side by side: what goes on with one of them is no change.
    """
    said: list[str] = []
    before: list[int] = []
    for day in np.unique(work.points.day[by_day]).tolist():
        here = work.points.segment[by_day[work.points.day[by_day] == day]].tolist()
        if before and not set(before) & set(here):
            text = _change(work.rows, work.series.key[before[-1]], work.series.key[here[0]])
            said.append(f"{day_of(day).isoformat()} {text}")
        before = here
    return tuple(said)


def _change(rows: Rows, before: Key, after: Key) -> str:
    tables = (("laboratory", rows.lab_names), ("method", rows.method_names), ("layer", rows.layer_names))
    parts = [
        f"{word} {_name(names, a) or 'not named'} to {_name(names, b) or 'not named'}"
        for (word, names), a, b in zip(tables, before, after, strict=True)
        if a != b
    ]
    return ", ".join(parts) or "beds that share no year"


def _bounds(work: Work, number: int, members: NDArray[np.intp]) -> tuple[float | None, float | None]:
    """Return the extremes of the plain slope in the unit, whatever the values below the limit were."""
    points, log = work.points, bool(work.scales.log[number])
    if (points.side[members] > 0).any():
        return None, None  # nothing bounds a value above a limit
    value = from_scale(points.y[members], np.full(members.size, log))
    lowest = np.where(points.side[members] < 0, 0.0, value)
    _, segment = np.unique(points.segment[members], return_inverse=True)
    low, high = slope_bounds(points.x[members], lowest, value, segment.reshape(-1))
    return _plain(low), _plain(high)
