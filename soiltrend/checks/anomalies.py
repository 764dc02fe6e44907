"""Where a bed, or all beds of a round together, departed from their own history; with the garden's budget."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.checks.budget import allowance, note_allowance, setting, sidak
from soiltrend.checks.departures import (
    Departures,
    Fits,
    Patterns,
    fit,
    from_others,
    moderate,
    patterns,
    precision,
)
from soiltrend.checks.panels import Panel

Array = NDArray[np.float64]
INTP = NDArray[np.intp]
# The variance of F(1, d) exists above four degrees of freedom.
LEAST_DF = 5.0


@dataclass(frozen=True, kw_only=True)
class Anomaly:
    """One departure of one series.

    ``bed`` is the row of the panel, None for what all beds of a round share; ``columns`` are the panel's
    columns that the series has, ``at`` the position among them where the departure starts and ``kind``
    ``one`` (that report alone) or ``from`` (that report and all after it). ``size`` and ``se`` are on the
    scale of the fit; ``chance`` is how often noise alone makes one look this large, ``looks`` how many
    looks the family takes in this garden.
    """

    panel: Panel
    bed: int | None
    columns: INTP
    kind: str
    at: int
    size: float
    se: float
    df: float
    chance: float
    looks: int
    family: str

    @property
    def column(self) -> int:
        """Column of the panel where the departure starts."""
        return int(self.columns[self.at])

    @property
    def round(self) -> int:
        """Number of the round of sampling where the departure starts."""
        return int(self.panel.rounds[self.column])

    @property
    def severity(self) -> str:
        """``doubtful`` within the garden's budget, ``note`` within that of notes, else empty."""
        if self.chance < sidak(allowance(self.family), self.looks):
            return "doubtful"
        return "note" if self.chance < note_allowance() / self.looks else ""

    @property
    def doubtful_from(self) -> float:
        """The size at which such a departure becomes doubtful in this garden, on the scale of the fit."""
        from scipy.special import stdtrit

        return float(-stdtrit(self.df, sidak(allowance(self.family), self.looks) / 2) * self.se)


@dataclass(frozen=True)
class Series:
    """Series of one panel with the same reports present: fitted, not yet scaled."""

    panel: Panel
    beds: tuple[int | None, ...]
    columns: INTP
    shapes: Patterns
    fits: Fits


def drift_of(panel: Panel) -> float:
    """Return the SD of a true change per year on the scale of the panel."""
    return setting("drift", panel.prior.scale)


def shared_series(panel: Panel) -> Series | None:
    """Fit what all beds shared in each round, laboratories allowed their own level."""
    columns = np.flatnonzero(~np.isnan(panel.shared))
    if columns.size < 2:
        return None
    beds = (~np.isnan(panel.y[:, columns])).sum(axis=0)
    own = np.nanmedian(panel.own_sd) ** 2 / (beds * setting("robust", "normal_efficiency"))
    p = precision(
        panel.years[columns],
        panel.year_sd**2 + own,
        drift_of(panel),
        panel.lab[columns],
        setting("laboratory", panel.prior.scale),
    )
    shapes = patterns(columns.size)
    return Series(panel, (None,), columns, shapes, fit(p, shapes.x, panel.shared[columns, None]))


def own_series(panel: Panel) -> Iterator[Series]:
    """Fit each bed's values without what its rounds shared; beds with the same reports together."""
    present = ~np.isnan(panel.rest)
    alone = np.where(np.isnan(panel.shared), panel.year_sd**2, 0.0)
    usual = np.median(panel.own_sd)
    masks, group = np.unique(present, axis=0, return_inverse=True)
    for number, mask in enumerate(masks):
        columns = np.flatnonzero(mask)
        if columns.size < 2:
            continue
        beds = np.flatnonzero(group.ravel() == number)
        p = precision(panel.years[columns], usual**2 + alone[columns], drift_of(panel))
        shapes = patterns(columns.size)
        scaled = panel.rest[np.ix_(beds, columns)] * (usual / panel.own_sd[beds])[:, None]
        fits = fit(p, shapes.x, scaled.T)
        yield Series(
            panel, tuple(beds.tolist()), columns, shapes, _rescaled(fits, panel.own_sd[beds] / usual)
        )


def _rescaled(fits: Fits, factor: Array) -> Fits:
    return Fits(fits.size * factor, fits.unit_se * factor, fits.left, fits.spread, fits.free)


def own_departures(panel: Panel) -> list[tuple[Series, Departures]]:
    """Return every departure of every bed of a panel; the noise is moderated by the other beds."""
    series = list(own_series(panel))
    if not series:
        return []
    spread = np.concatenate([s.fits.spread for s in series])[None, :]
    free = np.concatenate([s.fits.free for s in series])[None, :]
    prior, weight = from_others(spread, free, panel.prior.d0)
    ends = np.cumsum([len(s.beds) for s in series])
    cuts = [slice(end - len(s.beds), end) for s, end in zip(series, ends, strict=True)]
    return [(s, moderate(s.fits, prior[:, cut], weight[:, cut])) for s, cut in zip(series, cuts, strict=True)]


def shared_departures(panels: Sequence[Panel]) -> list[tuple[Series, Departures]]:
    """Return every departure of every panel's rounds; the noise is moderated by the other panels.

    The others speak without the same departure of the same round: a report in which seven elements are
    in another unit must not make all of them look like a noisy year.
    """
    series = [s for panel in panels if (s := shared_series(panel)) is not None]
    spread = np.array([s.fits.spread[0] for s in series])
    free = np.array([s.fits.free[0] for s in series])
    return [(s, moderate(s.fits, *_prior_of(i, series, spread, free))) for i, s in enumerate(series)]


def _prior_of(i: int, series: Sequence[Series], spread: Array, free: Array) -> tuple[Array, Array]:
    """Return prior and weight of series ``i``, one row per departure."""
    here = series[i]
    count = here.shapes.at.size
    left, rest = np.tile(spread, (count, 1)), np.tile(free, (count, 1))
    for j, other in enumerate(series):
        if here.columns.size > 2 and np.array_equal(_rounds(other), _rounds(here)):
            left[:, j], rest[:, j] = other.fits.left[:, 0], free[j] - 1
    prior, weight = from_others(left, rest, here.panel.prior.d0)
    return prior[:, [i]], weight[:, [i]]


def _rounds(series: Series) -> INTP:
    return series.panel.rounds[series.columns]


def strongest(found: Sequence[tuple[Series, Departures]], family: str) -> list[Anomaly]:
    """Return the strongest departure of each series that is at least a note."""
    from scipy.special import stdtr

    looks = sum(d.size.size for _, d in found)
    anomalies = []
    for series, departures in found:
        chances = 2 * stdtr(departures.df, -np.abs(departures.score))
        best = np.argmin(chances, axis=0)
        for b in np.flatnonzero(chances.min(axis=0) < note_allowance() / looks):
            anomalies.append(
                _anomaly(series, departures, (int(best[b]), int(b)), chances, looks=looks, family=family)
            )
    return anomalies


def moved_rounds(found: Sequence[tuple[Series, Departures]], anomalies: Sequence[Anomaly]) -> set[int]:
    """Return the rounds in which too many analytes departed at once, over all beds and analytes together.

    Looked at is the mean square of the scores of a round's single-report departures. One analyte that moved
    by itself is not a round that moved: at least two of the ``anomalies`` must lie in it.
    """
    squares: dict[int, list[tuple[float, float]]] = {}
    for series, departures in found:
        for c in np.flatnonzero(np.array(series.shapes.kinds) == "one"):
            number = int(series.panel.rounds[series.columns[series.shapes.at[c]]])
            score, df = float(departures.score[c, 0]), float(departures.df[c, 0])
            squares.setdefault(number, []).append((score**2, df))
    limit = sidak(allowance("round"), max(len(squares), 1))
    several = {a.round for a in anomalies if sum(b.round == a.round for b in anomalies) > 1}
    return {number for number in several & set(squares) if _chance_together(squares[number]) < limit}


def _chance_together(pairs: Sequence[tuple[float, float]]) -> float:
    return chance_of_squares([square for square, _ in pairs], [df for _, df in pairs])


def chance_of_squares(squares: Sequence[float], dfs: Sequence[float]) -> float:
    """Return how often noise makes the mean of squared t values, each of its own df, at least this large.

    The law is taken as a scaled F with as many numerator degrees of freedom as there are values; scale and
    denominator give it the mean and the variance of the exact law (the moments of F(1, d)).
    """
    from scipy.special import chdtrc, fdtrc

    df = np.maximum(np.asarray(dfs, dtype=float), LEAST_DF)
    k = df.size
    means = df / (df - 2)
    variances = 2 * df**2 * (df - 1) / ((df - 2) ** 2 * (df - 4))
    mean, relative = float(means.mean()), float(variances.sum() / means.sum() ** 2)
    observed = float(np.mean(squares)) / mean
    if k * relative <= 2:
        return float(chdtrc(k, k * observed))
    denominator = (2 * (k - 2) + 4 * k * relative) / (k * relative - 2)
    return float(fdtrc(k, denominator, observed * denominator / (denominator - 2)))


def _anomaly(
    series: Series, departures: Departures, at: tuple[int, int], chances: Array, *, looks: int, family: str
) -> Anomaly:
    return Anomaly(
        panel=series.panel,
        bed=series.beds[at[1]],
        columns=series.columns,
        kind=series.shapes.kinds[at[0]],
        at=int(series.shapes.at[at[0]]),
        size=float(departures.size[at]),
        se=float(departures.se[at]),
        df=float(departures.df[at]),
        chance=float(chances[at]),
        looks=looks,
        family=family,
    )
