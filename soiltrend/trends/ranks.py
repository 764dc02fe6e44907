"""Theil-Sen slope and exact Mann-Kendall test beside the line, from six comparable reports up."""

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.regression import exact_p, kendall_s, theil_sen
from soiltrend.trends.points import Points

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
RANK_REPORTS = 6
# The exact null is a polynomial of degree n (n - 1) / 2; beyond this the sums of whole numbers get long.
EXACT_REPORTS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranks:
    """One entry per series, NaN where too few reports can be compared.

    ``sen_slope`` is on the scale of the fit and left out where values lie beyond a limit.
    """

    sen_slope: Floats
    p: Floats


def rank_tests(points: Points, count: int) -> Ranks:
    """Compare reports two by two within their segments.

    Values below a limit are tied among themselves and below every detected value from the highest limit up;
    detected values below the highest limit cannot be ordered and are left out. Series with values above a
    limit are not ranked.
    """
    sen, p = np.full(count, np.nan), np.full(count, np.nan)
    value, use = _comparable(points, count)
    segment_n = np.bincount(points.segment[use], minlength=int(points.segment.max(initial=-1)) + 1)
    use &= segment_n[points.segment] > 1
    n = np.bincount(points.series[use], minlength=count)
    order = np.lexsort((points.day, points.segment, points.series))
    order = order[use[order]]
    censored = np.bincount(points.series[points.side != 0], minlength=count) > 0
    start = np.concatenate([[0], np.cumsum(n)[:-1]]).astype(np.intp)
    for length in np.unique(n[(n >= RANK_REPORTS) & (n <= EXACT_REPORTS)]).tolist():
        series = np.flatnonzero(n == length)
        members = order[start[series][:, None] + np.arange(length)]
        x, y, segment = points.x[members], value[members], points.segment[members]
        sen[series] = np.where(
            censored[series], np.nan, theil_sen(x, np.where(np.isfinite(y), y, 0), segment)
        )
        s = kendall_s(x, np.where(np.isfinite(y), y, -1e300), segment)
        p[series] = [exact_p(*pair) for pair in zip(s.tolist(), _ties(y, segment), strict=True)]
    return Ranks(sen_slope=sen, p=p)


def _comparable(points: Points, count: int) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the values to rank, -inf for "below the limit", and which points take part."""
    limit = np.full(count, -np.inf)
    below = points.side < 0
    np.maximum.at(limit, points.series[below], points.y[below])
    above = np.bincount(points.series[points.side > 0], minlength=count) > 0
    use = ~above[points.series] & (below | (points.y >= limit[points.series]))
    return np.where(below, -np.inf, points.y), use


def _ties(y: Floats, segment: Ints) -> list[list[tuple[int, ...]]]:
    """Return the sizes of the groups of equal values, per series and segment."""
    found = []
    for values, stretches in zip(y.tolist(), segment.tolist(), strict=True):
        sizes: dict[int, list[int]] = {}
        for (stretch, _), size in Counter(zip(stretches, values, strict=True)).items():
            sizes.setdefault(stretch, []).append(size)
        found.append([tuple(group) for group in sizes.values()])
    return found
