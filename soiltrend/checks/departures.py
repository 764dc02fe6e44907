"""Which report of a series stands apart, or from which report on everything does: on plain arrays.

A series is its level, a slow drift of unknown size around none, and noise. A departure adds one more
term ``x`` to it: one report alone (``one``), or that report and all after it (``from``). With the
covariance ``V`` of level, drift and noise and ``P`` its inverse with the level swept out, generalised
least squares gives size, standard error and what is left over::

    size = x'Py / x'Px      se = k / sqrt(x'Px)      left over = y'Py - (x'Py)² / x'Px

For ``one`` this is the leave-one-out residual. ``k`` scales the stated noise: it is moderated between
what was stated and what this garden shows (Smyth 2004; the trends of this program use the same formula).
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from soiltrend import noise
from soiltrend.checks.budget import setting

Array = NDArray[np.float64]
INTP = NDArray[np.intp]


def precision(
    times: Array, variance: Array, drift_sd: float, groups: INTP | None = None, group_sd: float = 0.0
) -> Array:
    """Return P: the inverse covariance of a series with its level swept out (rows sum to zero).

    Parameters
    ----------
    times : array of n
        Years.
    variance : array of n
        Noise variance of each value, on the scale of the fit.
    drift_sd : float
        SD of the true change per year.
    groups : array of n, optional
        Laboratory of each value; the levels of laboratories differ by ``group_sd``.
    """
    centred = times - times.mean()
    covariance = np.diag(variance) + drift_sd**2 * np.outer(centred, centred)
    if groups is not None:
        covariance += group_sd**2 * (groups[:, None] == groups[None, :])
    inverse = np.linalg.inv(covariance)
    row = inverse.sum(axis=0)
    return np.asarray(inverse - np.outer(row, row) / row.sum())


@dataclass(frozen=True)
class Patterns:
    """The shapes a departure can have in a series of n: ``x`` is n × C, ``at`` the report it starts at."""

    x: Array
    kinds: tuple[str, ...]
    at: INTP


@cache
def patterns(n: int) -> Patterns:
    """Return the distinct shapes: every single report, and every step after the second report.

    A step before the last report is that report alone, and one after the first is the first alone.
    """
    if n < 2:
        return Patterns(np.empty((n, 0)), (), np.empty(0, dtype=np.intp))
    single = np.arange(1, 2) if n == 2 else np.arange(n)
    steps = np.arange(2, n - 1)
    at = np.concatenate([single, steps])
    ranks = np.arange(n)[:, None]
    x = np.where(np.arange(at.size) < single.size, ranks == at, ranks >= at).astype(float)
    return Patterns(x, ("one",) * single.size + ("from",) * steps.size, at)


@dataclass(frozen=True)
class Departures:
    """Sizes of C departures in B series: ``size``, ``se`` and ``df`` are C × B, NaN where not asked."""

    size: Array
    se: Array
    df: Array

    @property
    def score(self) -> Array:
        """Size in standard errors."""
        return self.size / self.se


@dataclass(frozen=True)
class Fits:
    """Departures of several series before the noise is scaled: ``unit_se`` is for the stated noise."""

    size: Array
    unit_se: Array
    left: Array
    spread: Array
    free: Array


def fit(p: Array, x: Array, y: Array) -> Fits:
    """Fit every departure (columns of ``x``) to every series (columns of ``y``), one at a time."""
    py = p @ y
    information = np.einsum("nc,nm,mc->c", x, p, x)[:, None]
    pull = x.T @ py
    spread = np.einsum("nb,nb->b", y, py)
    left = np.maximum(spread - pull**2 / information, 0.0)
    free = np.full(y.shape[1], y.shape[0] - 1.0)
    return Fits(pull / information, 1 / np.sqrt(information), left, spread, free)


def moderate(fits: Fits, prior: Array, weight: Array) -> Departures:
    """Scale the stated noise of each series by a ``prior`` of ``weight`` df and by its own remainder."""
    own_free = np.maximum(fits.free - 1.0, 0.0)
    df = np.broadcast_to(weight + own_free, fits.size.shape)
    scale = np.sqrt((weight * prior + fits.left) / df)
    return Departures(fits.size, fits.unit_se * scale, df)


def from_others(spread: Array, free: Array, d0: Array | float) -> tuple[Array, Array]:
    """Return for each series the prior noise factor (of the variance) and its degrees of freedom.

    ``prior = (d0 + D k²) / (d0 + D)`` with k² the median over the other series of their spread against
    the median of a chi-square, D their degrees of freedom times the efficiency of a median; the
    degrees of freedom handed on are capped as in the trends. The median keeps a few series that really
    jumped from hiding the rest. ``spread`` is C × S with degrees of freedom ``free``, of its shape or S.
    """
    from scipy.special import gammaincinv

    free = np.broadcast_to(free, spread.shape)
    usual = 2 * gammaincinv(np.maximum(free, 1.0) / 2, 0.5)
    others = _medians_of_others(np.where(free > 0, spread / usual, np.nan))
    kept = np.maximum(free, 0.0)
    known = setting("robust", "normal_efficiency") * (kept.sum(axis=1, keepdims=True) - kept)
    known = np.where(np.isnan(others), 0.0, known)
    prior = (d0 + known * np.nan_to_num(others)) / (d0 + known)
    return prior, np.minimum(d0 + known, np.maximum(noise.setting("defaults", "d0_cap"), d0))


def _medians_of_others(values: Array) -> Array:
    """Return for each value of a row the median of the others in it, NaN where there are none."""
    grid = np.where(np.eye(values.shape[1], dtype=bool), np.nan, values[:, None, :])
    empty = np.asarray(np.isnan(grid).all(axis=2))
    return np.where(empty, np.nan, np.nanmedian(np.where(empty[..., None], 0.0, grid), axis=2))
