"""What a design can show: power, coverage and smallest detectable change, exact by one quadrature.

With X ~ chi-square(d) the moderated test has the factor h(X) = t sqrt((d0 + k² X) / (d0 + d)) / k in units
of the true SE, where the true noise is k times the stated one. So the power is
``E[Phi(delta/k - h) + Phi(-delta/k - h)]`` and the coverage of the interval is ``E[2 Phi(h) - 1]``.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln, ndtr, roots_legendre

from soiltrend.regression.lines import t_quantile

Floats = NDArray[np.float64]
NODES = 300
REACH = 9.0  # of the chi distribution about its middle; less than 1e-17 lies beyond


@lru_cache(maxsize=256)
def _chi_square(d: float) -> tuple[Floats, Floats]:
    """Return points and weights so that ``sum(w f(x))`` is the mean of f over chi-square(d).

    Gauss-Legendre in the square root of X, in which h is smooth down to 0.
    """
    if d <= 0:
        return np.zeros(1), np.ones(1)
    middle = np.sqrt(d)
    low, high = max(0.0, middle - REACH), middle + REACH
    nodes, weights = roots_legendre(NODES)
    z = low + (high - low) * (nodes + 1) / 2
    log_density = (d - 1) * np.log(z) - z * z / 2 - (d / 2 - 1) * np.log(2) - gammaln(d / 2)
    return z * z, weights * (high - low) / 2 * np.exp(log_density)


@lru_cache(maxsize=1024)
def _limits(d0: float, d: float, k: float, level: float) -> tuple[Floats, Floats]:
    """Return h at the quadrature points, and their weights."""
    t = float(t_quantile(level, d0 + d))
    if np.isinf(d0):
        return np.array([t / k]), np.ones(1)
    x, weights = _chi_square(d)
    return t * np.sqrt((d0 + k * k * x) / (d0 + d)) / k, weights


def power(delta: ArrayLike, d0: float, d: float, *, k: float = 1.0, level: float = 0.95) -> Floats:
    """Return the chance that the interval of ``level`` excludes no change.

    Parameters
    ----------
    delta : any shape
        True slope in units of ``s0 / sqrt(Sxx)``.
    d0, d : float
        Prior and residual degrees of freedom; d0 may be infinite, not both 0.
    k : float
        True noise as a multiple of the stated noise.
    """
    h, weights = _limits(float(d0), float(d), float(k), float(level))
    shift = np.asarray(delta, dtype=float)[..., None] / k
    return np.asarray((ndtr(shift - h) + ndtr(-shift - h)) @ weights, dtype=float)


def coverage(d0: float, d: float, *, k: float = 1.0, level: float = 0.95) -> float:
    """Return the chance that the interval holds the truth when the true noise is k times the stated one."""
    h, weights = _limits(float(d0), float(d), float(k), float(level))
    return float((2 * ndtr(h) - 1) @ weights)


@lru_cache(maxsize=4096)
def detectable_delta(d0: float, d: float, chance: float = 0.8, level: float = 0.95) -> float:
    """Return the delta of :func:`power` that is shown with the given chance; NaN without any noise figure."""
    if not d0 + d > 0:
        return float("nan")
    low, high = 0.0, 8.0
    while power(high, d0, d, level=level) < chance:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if power(middle, d0, d, level=level) < chance else (low, middle)
    return (low + high) / 2


def equivalence(margin: ArrayLike, d0: float, d: float, *, level: float = 0.90) -> Floats:
    """Return the chance that the interval of ``level`` lies inside ``± margin`` when there is no change.

    Two one-sided tests at 5 % are the 90 % interval (Schuirmann 1987); ``margin`` is in units of
    ``s0 / sqrt(Sxx)``: ``P = E[max(0, 2 Phi(margin - h) - 1)]``.
    """
    h, weights = _limits(float(d0), float(d), 1.0, float(level))
    room = np.asarray(margin, dtype=float)[..., None] - h
    return np.asarray(np.maximum(0.0, 2 * ndtr(room) - 1) @ weights, dtype=float)


def exaggeration(delta: float, d0: float, d: float, *, level: float = 0.95) -> tuple[float, float, float]:
    """Return power, and what results that count as shown are like: share of wrong sign, mean overstatement.

    Type S and type M errors (Gelman & Carlin 2014, Perspect. Psychol. Sci. 9:641-651) for a true slope of
    ``delta`` > 0 in units of ``s0 / sqrt(Sxx)``, in closed form given h, then averaged over h.
    """
    h, weights = _limits(float(d0), float(d), 1.0, float(level))
    up, down = ndtr(delta - h), ndtr(-delta - h)
    size = delta * (up - down) + _density(h - delta) + _density(h + delta)
    shown = float((up + down) @ weights)
    return shown, float(down @ weights) / shown, float(size @ weights) / shown / delta


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi))


@lru_cache(maxsize=4096)
def equivalence_margin(d0: float, d: float, chance: float = 0.8, level: float = 0.90) -> float:
    """Return the margin of :func:`equivalence` that is reached with the given chance; NaN without noise."""
    if not d0 + d > 0:
        return float("nan")
    low, high = 0.0, 8.0
    while equivalence(high, d0, d, level=level) < chance:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if equivalence(middle, d0, d, level=level) < chance else (low, middle)
    return (low + high) / 2


def smallest_detectable(
    sxx: ArrayLike,
    s0: ArrayLike,
    d0: ArrayLike,
    d: ArrayLike,
    span: ArrayLike,
    *,
    chance: float = 0.8,
    level: float = 0.95,
) -> Floats:
    """Return the smallest true total change over ``span`` that each design shows with ``chance``.

    On the scale of the fit (a difference of logarithms on the log scale): ``delta s0 span / sqrt(Sxx)``.
    """
    xx, sd, prior, free, years = np.broadcast_arrays(
        *(np.asarray(a, dtype=float) for a in (sxx, s0, d0, d, span))
    )
    designs, which = np.unique(np.stack([prior.ravel(), free.ravel()]), axis=1, return_inverse=True)
    deltas = np.array([detectable_delta(float(a), float(b), chance, level) for a, b in designs.T])
    with np.errstate(divide="ignore", invalid="ignore"):
        out = deltas[which.reshape(prior.shape)] * sd * years / np.sqrt(xx)
    return np.asarray(np.where(xx > 0, out, np.nan), dtype=float)
