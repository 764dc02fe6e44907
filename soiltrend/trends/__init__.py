"""One fit per bed, analyte and method: what changed, with an interval that holds on very few years."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import Noise, known_analytes
from soiltrend.trends.build import build_trends
from soiltrend.trends.fit import fit_points
from soiltrend.trends.garden import ALL_BEDS, by_analyte, yearly_means
from soiltrend.trends.model import Point, Trend
from soiltrend.trends.points import Points, Scales, make_points, priors, stated_noise
from soiltrend.trends.ranks import rank_tests
from soiltrend.trends.rows import Rows, usable_rows
from soiltrend.trends.segments import Series, split_series
from soiltrend.trends.tables import KEYS, to_frame, to_records
from soiltrend.trends.words import within_season
from soiltrend.trends.work import Work

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "ALL_BEDS",
    "KEYS",
    "Point",
    "Trend",
    "fit_trends",
    "garden_trends",
    "to_frame",
    "to_records",
    "within_season",
]


def fit_trends(observations: "pd.DataFrame", noise: Noise, level: float = 0.95) -> list[Trend]:
    """Fit every series of the long table.

    A series is what one bed shows of one analyte in one unit; methods and layers that run side by side in the
    same reports are series of their own, and where one replaces another each has a level of its own within
    the series (see :mod:`soiltrend.trends.segments`). Concentrations are fitted on the natural-log scale, pH
    and saturations as they are. The noise of each series is its prior figure, shrunk towards what the other
    beds of the garden show (Smyth 2004; the interval is exact for this model). Verdicts hold after
    Benjamini-Hochberg over all series returned.

    Parameters
    ----------
    observations : pandas.DataFrame
        Columns as :data:`soiltrend.observations.COLUMNS`; ``notes`` joined by ``;``. Rows without date or
        value, and rows noted ``duplicate-of``, ``not-in-fits`` or ``impossible-value``, are kept out.
    noise : Noise
        What one report wobbles.
    level : float
        Level of the intervals.

    Returns
    -------
    list of Trend
        Sorted by bed (numbers in names count as numbers), analyte and unit.
    """
    rows = usable_rows(observations, noise)
    if not rows.index.size:
        return []
    series, points, scales = _prepared(rows, noise)
    return _fitted(rows, series, points, scales, level)


def garden_trends(observations: "pd.DataFrame", noise: Noise, level: float = 0.95) -> list[Trend]:
    """Fit the garden as a whole: one line through the yearly means of all beds per analyte.

    The years are the replicates, never the beds; see :mod:`soiltrend.trends.garden`. The noise of a yearly
    mean is the part that all beds of a year share, and one bed's rest over the number of beds.

    Parameters
    ----------
    observations, noise, level
        As for :func:`fit_trends`; give only the rows of some beds for the trend of these.

    Returns
    -------
    list of Trend
        One per analyte and unit that two beds have, with bed ``"(all beds)"``; ``n`` counts the years.
        Verdicts hold after Benjamini-Hochberg over this list.
    """
    rows = usable_rows(observations, noise)
    if not rows.index.size:
        return []
    _, points, scales = _prepared(rows, noise)
    together = by_analyte(rows)
    garden = split_series(together)
    prior = priors(together, garden, noise)
    means = yearly_means(rows, garden, prior, points, scales.s0[points.series])
    if not means.rows.index.size:
        return []
    yearly = make_points(means.rows, means.series, means.scales.log)
    weight = np.ones(yearly.y.size)
    weight[yearly.of_row] = means.weight
    return _fitted(means.rows, means.series, replace(yearly, weight=weight), means.scales, level)


def _prepared(rows: Rows, noise: Noise) -> tuple[Series, Points, Scales]:
    series = split_series(rows)
    prior = priors(rows, series, noise)
    log = np.array([p.scale == "log" for p in prior], dtype=bool)
    points = make_points(rows, series, log)
    return series, points, stated_noise(rows, series, points, prior, log)


def _fitted(rows: Rows, series: Series, points: Points, scales: Scales, level: float) -> list[Trend]:
    bed, kind = (_codes([rows.groups[g][column] for g in series.group]) for column in (0, 1))
    fits = fit_points(points, scales, kind, bed, level)
    ranks = rank_tests(points, len(series.group))
    work = Work(rows=rows, series=series, points=points, scales=scales, fits=fits, ranks=ranks, level=level)
    return sorted(build_trends(work), key=_order)


def _codes(names: list[str]) -> NDArray[np.intp]:
    _, codes = np.unique(names, return_inverse=True)
    return np.asarray(codes, dtype=np.intp)


def _order(trend: Trend) -> tuple[list[tuple[int, str]], int, str, str, str]:
    known = known_analytes()
    place = known.index(trend.analyte) if trend.analyte in known else len(known)
    return _natural(trend.bed), place, trend.analyte, trend.unit, trend.method


def _natural(name: str) -> list[tuple[int, str]]:
    """Sort 'Bed 9' before 'Bed 10'."""
    return [(int(part), "") if part.isdigit() else (-1, part) for part in re.split(r"(\d+)", name.casefold())]
