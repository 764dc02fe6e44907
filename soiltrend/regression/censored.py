"""Series with results below a limit: Tobit with the noise held fixed, and bounds that assume nothing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import log_ndtr

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CensoredFit:
    """Levels (one per segment), slope, their standard errors and the log-likelihood at the maximum."""

    levels: Floats
    slope: float
    level_se: Floats
    slope_se: float
    covariance: Floats
    loglik: float


def fit_censored(
    x: ArrayLike, y: ArrayLike, side: ArrayLike, sigma: float, segment: ArrayLike | None = None
) -> CensoredFit:
    """Fit one slope with one level per segment by maximum likelihood with known ``sigma`` (Tobin 1958).

    Parameters
    ----------
    x, y : one per row
        y is the value, or the limit where ``side`` is not 0.
    side : one per row
        0 measured, -1 the value lies below y, +1 above y.
    sigma : float
        SD of one report, held fixed: the likelihood is then concave in levels and slope.
    segment : integers 0 … G-1, optional

    Raises
    ------
    ValueError
        Fewer than two measured values at different x within a segment: no slope can be found.
    """
    xs, ys, sides = np.asarray(x, float), np.asarray(y, float), np.asarray(side, int)
    of = np.zeros(xs.size, dtype=np.intp) if segment is None else np.asarray(segment, dtype=np.intp)
    _require_a_slope(xs, sides, of)
    centre = xs.mean()
    design = np.column_stack([np.eye(int(of.max()) + 1)[of], xs - centre])
    start = np.linalg.lstsq(design, ys, rcond=None)[0]
    beta, information, loglik = _climb(design, ys, sides, sigma, start)
    covariance = np.linalg.inv(information)
    back = np.eye(beta.size)
    back[:-1, -1] = -centre  # the level at x = 0 instead of at the mean x
    beta, covariance = back @ beta, back @ covariance @ back.T
    se = np.sqrt(np.diag(covariance))
    spread: Floats = np.asarray(covariance, dtype=np.float64)
    return CensoredFit(beta[:-1], float(beta[-1]), se[:-1], float(se[-1]), spread, loglik)


def _require_a_slope(x: Floats, side: NDArray[np.int_], segment: NDArray[np.intp]) -> None:
    measured = side == 0
    for code in np.unique(segment[measured]):
        if np.unique(x[measured & (segment == code)]).size > 1:
            return
    raise ValueError("no segment has two measured values at different x")


def _climb(
    design: Floats, y: Floats, side: NDArray[np.int_], sigma: float, beta: Floats
) -> tuple[Floats, Floats, float]:
    """Newton's method with halved steps; the likelihood is concave, so it ends at the maximum."""
    value, gradient, information = _likelihood(design, y, side, sigma, beta)
    for _ in range(100):
        step = np.linalg.lstsq(information, gradient, rcond=None)[0]
        scale = 1.0
        while scale > 1e-9:
            trial = _likelihood(design, y, side, sigma, beta + scale * step)
            if trial[0] >= value - 1e-12 * abs(value):
                break
            scale /= 2
        beta = beta + scale * step
        value, gradient, information = trial
        if np.abs(scale * step).max() < 1e-12 * (1 + np.abs(beta).max()):
            break
    return beta, information, value


def _likelihood(
    design: Floats, y: Floats, side: NDArray[np.int_], sigma: float, beta: Floats
) -> tuple[float, Floats, Floats]:
    """Return the log-likelihood, its gradient and the observed information."""
    z = (y - design @ beta) / sigma
    measured = side == 0
    # For a limit the argument is turned so that the value always lies below it.
    u = np.where(measured, 0.0, -side * z)
    log_phi = -0.5 * u * u - 0.5 * np.log(2 * np.pi)
    mills = np.exp(log_phi - log_ndtr(u))
    value = np.where(measured, -0.5 * z * z - np.log(sigma) - 0.5 * np.log(2 * np.pi), log_ndtr(u))
    pull = np.where(measured, z, side * mills) / sigma
    weight = np.where(measured, 1.0, mills * (u + mills)) / sigma**2
    return float(value.sum()), design.T @ pull, (design * weight[:, None]).T @ design


def slope_bounds(
    x: ArrayLike, lowest: ArrayLike, highest: ArrayLike, segment: ArrayLike | None = None
) -> tuple[float, float]:
    """Return the smallest and largest least-squares slope when each y may lie anywhere in its range.

    ``lowest`` and ``highest`` are equal for a measured value. The slope is a weighted sum of y, so each end
    takes whichever limit pulls it furthest: nothing is assumed about the values below the limit.
    """
    xs, low, high = (np.asarray(a, dtype=float) for a in (x, lowest, highest))
    of = np.zeros(xs.size, dtype=np.intp) if segment is None else np.asarray(segment, dtype=np.intp)
    counts = np.bincount(of)
    dx = xs - (np.bincount(of, xs) / np.maximum(counts, 1))[of]
    sxx = float(dx @ dx)
    if not sxx > 0:
        return float("nan"), float("nan")
    falls, rises = dx * low, dx * high
    return float(np.minimum(falls, rises).sum() / sxx), float(np.maximum(falls, rises).sum() / sxx)
