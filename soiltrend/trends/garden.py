"""The garden as a whole: a line through yearly means, because beds of one garden share each year.

Thirty beds that rise together in one season are one event, not thirty proofs; so the years are the
replicates, never the beds (a t test over bed slopes calls a garden "changing" in up to half of the cases in
which only the year differs). The yearly means come from a two-way fit of beds and years within each
laboratory, method and layer, so that a bed that is missing in a year does not move the mean.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from soiltrend.noise import Prior, noise_text
from soiltrend.trends.points import Points, Scales, from_scale
from soiltrend.trends.rows import Rows
from soiltrend.trends.segments import Key, Series

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

ALL_BEDS = "(all beds)"


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyMeans:
    """The mean of the beds in each year, as rows and series of a table of one bed, with their precision.

    ``weight`` has one entry per row: the variance of the fullest year of the series over that of this one.
    """

    rows: Rows
    series: Series
    scales: Scales
    weight: Floats


@dataclass(frozen=True, slots=True)
class _Mean:
    """One year of one set of linked beds; ``key`` is its laboratory, method and layer."""

    series: int
    segment: int
    key: Key
    day: int
    y: float
    beds: int


def by_analyte(rows: Rows) -> Rows:
    """Return the rows as if all beds were one, so that they can be split into series of the garden."""
    pairs = list(dict.fromkeys((analyte, unit) for _, analyte, unit in rows.groups))
    code = np.array([pairs.index((analyte, unit)) for _, analyte, unit in rows.groups], dtype=np.intp)
    return replace(rows, group=code[rows.group], groups=[(ALL_BEDS, *pair) for pair in pairs])


def yearly_means(rows: Rows, garden: Series, prior: list[Prior], points: Points, s0: Floats) -> YearlyMeans:
    """Average the beds of each year.

    Parameters
    ----------
    rows, garden
        The table with beds as they are, and how it splits into series with all beds taken as one.
    prior : one per series of the garden
    points, s0
        Made from ``rows``; the stated noise of one report, one per point.
    """
    beds = list(dict.fromkeys(bed for bed, _, _ in rows.groups))
    of_bed = np.array([beds.index(bed) for bed, _, _ in rows.groups], dtype=np.intp)[rows.group]
    means = _means(rows.day, garden, points, of_bed)
    # Beds that are never seen twice by the same method say nothing about years; one bed is no garden.
    numbers = sorted({mean.series for mean in means})
    fullest = {number: max(m.beds for m in means if m.series == number) for number in numbers}
    means = [mean for mean in means if fullest[mean.series] > 1]
    one = _noise_of_one(garden, s0[points.of_row])
    variance = [_variance(prior[mean.series], one[mean.series], mean.beds) for mean in means]
    kept = [number for number in numbers if fullest[number] > 1]
    best = {number: _variance(prior[number], one[number], fullest[number]) for number in kept}
    series = _series(garden, means, kept)
    scales = _scales([_of_mean(prior[number], best[number], fullest[number]) for number in kept])
    return YearlyMeans(
        rows=_rows(rows, means, scales.log[series.series]),
        series=series,
        scales=scales,
        weight=np.array([best[m.series] / v for m, v in zip(means, variance, strict=True)], dtype=float),
    )


def _means(day: Ints, garden: Series, points: Points, of_bed: Ints) -> list[_Mean]:
    means: list[_Mean] = []
    segment = 0
    for block in _blocks(garden.segment, _without_limits(garden, points, of_bed)):
        number, key = int(garden.series[block[0]]), garden.key[int(garden.segment[block[0]])]
        for levels in _two_way(of_bed[block], day[block], points.y[points.of_row[block]]):
            means += [_Mean(number, segment, key, *level) for level in levels]
            segment += 1
    return means


def _without_limits(garden: Series, points: Points, of_bed: Ints) -> NDArray[np.bool_]:
    """Leave out a bed in a block where any of its values lies beyond a limit: its mean is not known."""
    pair = garden.segment * (of_bed.max(initial=0) + 1) + of_bed
    beyond = points.side[points.of_row] != 0
    return ~np.isin(pair, pair[beyond])


def _blocks(segment: Ints, use: NDArray[np.bool_]) -> Iterator[Ints]:
    order = np.argsort(segment, kind="stable")
    order = order[use[order]]
    if order.size:
        yield from np.split(order, np.flatnonzero(np.diff(segment[order])) + 1)


def _two_way(bed: Ints, day: Ints, y: Floats) -> list[list[tuple[int, float, int]]]:
    """Fit beds and years; return (mean day, level of the year, number of beds) per set of linked beds.

    Beds that never share a year with others cannot be compared with them and make a set of their own.
    """
    year = day.astype("datetime64[D]").astype("datetime64[Y]").astype(np.intp)
    cells, of_cell = np.unique(np.stack([bed, year]), axis=1, return_inverse=True)
    of_cell = of_cell.reshape(-1)
    size = np.bincount(of_cell)
    value, when = np.bincount(of_cell, y) / size, np.bincount(of_cell, day) / size
    return [_levels(cells[0, part], cells[1, part], value[part], when[part]) for part in _linked(cells)]


def _linked(cells: Ints) -> list[Ints]:
    """Group cells (bed, year) into sets in which every bed is linked to every other by shared years."""
    label = np.arange(cells.shape[1])
    while True:
        before = label.copy()
        for codes in cells:
            _, of = np.unique(codes, return_inverse=True)
            least = np.full(int(of.max()) + 1, label.size)
            np.minimum.at(least, of, label)
            label = least[of]
        if (label == before).all():
            return [np.flatnonzero(label == name) for name in np.unique(label)]


def _levels(bed: Ints, year: Ints, y: Floats, when: Floats) -> list[tuple[int, float, int]]:
    """Return (mean day, level, number of beds that link the year to others) of each year."""
    _, of_bed = np.unique(bed, return_inverse=True)
    years, of_year = np.unique(year, return_inverse=True)
    beds = int(of_bed.max()) + 1
    per_bed = np.bincount(of_bed)
    # Beds taken out first (Frisch-Waugh), so that only one equation per year is left; the first year is 0.
    cells = np.zeros((beds, years.size))
    cells[of_bed, of_year] = 1.0
    mean = np.bincount(of_bed, y) / per_bed
    left = np.diag(cells.sum(axis=0)) - cells.T @ (cells / per_bed[:, None])
    right = np.bincount(of_year, y - mean[of_bed])
    effect = np.r_[0.0, np.linalg.solve(left[1:, 1:], right[1:])]
    level = effect + (mean - cells @ effect / per_bed).mean()
    carries = np.bincount(of_bed)[of_bed] > 1
    count = np.bincount(of_year[carries], minlength=years.size)
    days = np.bincount(of_year, when) / np.bincount(of_year)
    return [
        (round(day), value, int(n))
        for day, value, n in zip(days.tolist(), level.tolist(), count.tolist(), strict=True)
        if n
    ]


def _noise_of_one(garden: Series, s0: Floats) -> Floats:
    """Return the stated noise of one bed's report per series of the garden: the root mean square."""
    count = len(garden.group)
    total = np.bincount(garden.series, s0**2, minlength=count)
    return np.asarray(np.sqrt(total / np.bincount(garden.series, minlength=count)), dtype=float)


def _variance(prior: Prior, one: float, beds: int) -> float:
    """Return the variance of a yearly mean: what all beds share, and what one bed adds over their number."""
    shared = min(prior.year, one) ** 2
    return float(shared + (one**2 - shared) / max(beds, 1))


def _of_mean(prior: Prior, variance: float, beds: int) -> Prior:
    size = 100 * math.sqrt(math.expm1(variance)) if prior.scale == "log" else math.sqrt(variance)
    return replace(
        prior,
        s0=math.sqrt(variance),
        text=noise_text(size, prior.scale, prior.unit),
        source=f"{prior.source}; mean of {beds} beds, which share the year",
    )


def _series(garden: Series, means: list[_Mean], kept: list[int]) -> Series:
    segments = list(dict.fromkeys((mean.segment, mean.key) for mean in means))
    number_of = {segment: number for number, (segment, _) in enumerate(segments)}
    return Series(
        series=np.array([kept.index(mean.series) for mean in means], dtype=np.intp),
        segment=np.array([number_of[mean.segment] for mean in means], dtype=np.intp),
        group=[garden.group[number] for number in kept],
        key=[key for _, key in segments],
        filled=[garden.filled[number] for number in kept],
    )


def _scales(prior: list[Prior]) -> Scales:
    return Scales(
        prior=prior,
        log=np.array([p.scale == "log" for p in prior], dtype=bool),
        s0=np.array([p.s0 for p in prior], dtype=float),
        d0=np.array([p.d0 for p in prior], dtype=float),
    )


def _rows(rows: Rows, means: list[_Mean], log: NDArray[np.bool_]) -> Rows:
    """Return the means as a table: no row, laboratory or place of the long table is theirs."""
    together = by_analyte(rows)
    nowhere = np.full(len(means), -1, dtype=np.intp)
    y = np.array([mean.y for mean in means], dtype=float)
    return replace(
        together,
        index=nowhere,
        day=np.array([mean.day for mean in means], dtype=np.intp),
        value=from_scale(y, log),
        side=np.zeros(len(means), dtype=np.intp),
        step=np.full(len(means), np.nan),
        group=nowhere,
        lab=nowhere,
        method=nowhere,
        layer=nowhere,
        source=[""] * len(means),
        place=["mean of the year"] * len(means),
    )
