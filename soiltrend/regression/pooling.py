"""Learning the noise of one series from the others of its group, each bed left out in turn."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


def pooled_noise(
    ratio: ArrayLike, df: ArrayLike, group: ArrayLike, block: ArrayLike, d0: ArrayLike, *, cap: float = 12.0
) -> tuple[Floats, Floats]:
    """Update the stated noise of each series from the residuals of the other blocks of its group.

    ``s0² <- s0² (d0 + sum of others' RSS/s0²) / (d0 + sum of their df)``; ``d0 <- min(d0 + sum df, cap)``.
    One wild series (a misread unit, say) must not make all others look noisy: each contribution is held to
    the 99.9 % point of its chi-square at the group's own lower-median spread.

    Parameters
    ----------
    ratio, df : one per series
        RSS / s0² and residual degrees of freedom.
    group, block : integers, one per series
        Analyte, and bed: series of the same bed never inform each other.
    d0 : one per series

    Returns
    -------
    factor : multiply s0 by it
    d0 : the prior degrees of freedom after the update, never fewer than before
    """
    r, d = np.asarray(ratio, dtype=float), np.asarray(df, dtype=float)
    of, bed = np.asarray(group, dtype=np.intp), np.asarray(block, dtype=np.intp)
    prior = np.broadcast_to(np.asarray(d0, dtype=float), r.shape)
    if not r.size:
        return np.ones(0), prior.copy()
    held = _held(r, d, of)
    pair = of * (bed.max() + 1) + bed
    others_r = np.bincount(of, held)[of] - np.bincount(pair, held)[pair]
    others_d = np.bincount(of, d)[of] - np.bincount(pair, d)[pair]
    known = np.isinf(prior)
    start = np.where(known, 1.0, prior)
    with np.errstate(invalid="ignore", divide="ignore"):
        factor = np.sqrt((start + others_r) / (start + others_d))
    usable = ~known & (others_d > 0)
    updated = np.maximum(prior, np.minimum(prior + others_d, cap))
    return np.where(usable, factor, 1.0), np.where(known, np.inf, updated)


def _held(ratio: Floats, df: Floats, group: Ints) -> Floats:
    """Hold each RSS/s0² to the 99.9 % point of chi-square at the group's lower-median spread."""
    free = np.where(df > 0, df, 1.0)
    spread = np.where(df > 0, ratio / np.asarray(chdtri(free, 0.5)), np.inf)
    order = np.lexsort((spread, group))
    informative = np.bincount(group, df > 0)
    start = np.concatenate([[0], np.cumsum(np.bincount(group))[:-1]])
    middle = start + np.maximum((informative.astype(np.intp) - 1) // 2, 0)
    size = order.size - 1
    median = np.maximum(spread[order][np.minimum(middle, size)], 1.0)[group]
    limit = np.where(df > 0, median, 1.0) * np.asarray(chdtri(free, 0.001))
    return np.where(df > 0, np.minimum(ratio, limit), 0.0)
