"""Theil-Sen slope and the exact Mann-Kendall test, ties and several segments included.

The number of discordant pairs of a random arrangement of values with ties of sizes t₁, t₂ … follows the
q-multinomial ``[n]_q! / prod [t_i]_q!`` (Kendall 1975, Rank Correlation Methods; Stanley, Enumerative
Combinatorics I, 1.7), so the exact p value is a product and division of polynomials with whole numbers.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def kendall_s(x: ArrayLike, y: ArrayLike, segment: ArrayLike | None = None) -> Ints:
    """Return Mann-Kendall S of each row: later-minus-earlier pairs that rise less those that fall.

    Parameters
    ----------
    x, y : (m, n)
        m series of n values, x different within a segment.
    segment : (m, n), optional
        Only pairs of the same segment are compared.
    """
    dx, dy, same = _pairs(x, y, segment)
    return np.asarray((np.sign(dx) * np.sign(dy) * same).sum(axis=-1), dtype=np.int64)


def theil_sen(x: ArrayLike, y: ArrayLike, segment: ArrayLike | None = None) -> Floats:
    """Return the median of the slopes of all pairs (of the same segment) of each row; NaN without a pair."""
    dx, dy, same = _pairs(x, y, segment)
    usable = same & (dx != 0)
    slopes = np.where(usable, dy / np.where(usable, dx, 1.0), np.nan)
    slopes.sort(axis=-1)  # NaN go last
    count = usable.sum(axis=-1)
    low = np.take_along_axis(slopes, np.maximum((count - 1) // 2, 0)[:, None], axis=-1)[:, 0]
    high = np.take_along_axis(slopes, np.minimum(count // 2, slopes.shape[-1] - 1)[:, None], axis=-1)[:, 0]
    return np.asarray(np.where(count > 0, (low + high) / 2, np.nan), dtype=float)


def _pairs(x: ArrayLike, y: ArrayLike, segment: ArrayLike | None) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    xs, ys = np.atleast_2d(np.asarray(x, dtype=float)), np.atleast_2d(np.asarray(y, dtype=float))
    first, second = np.triu_indices(xs.shape[1], 1)
    dx, dy = xs[:, second] - xs[:, first], ys[:, second] - ys[:, first]
    if segment is None:
        return dx, dy, np.ones(dx.shape, dtype=bool)
    of = np.atleast_2d(np.asarray(segment))
    return dx, dy, of[:, second] == of[:, first]


@lru_cache(maxsize=4096)
def null_counts(ties: tuple[int, ...]) -> tuple[int, ...]:
    """Return how many arrangements have 0, 1, 2 … discordant pairs, for groups of equal values.

    ``ties`` holds the size of each group of equal values, 1 for a value of its own; n is their sum.
    """
    counts = [1]
    placed = 0
    for size in ties:
        for step in range(1, size + 1):
            placed += 1
            counts = _divided(_multiplied(counts, placed), step)
    return tuple(counts)


def _multiplied(counts: Sequence[int], k: int) -> list[int]:
    """Multiply by 1 - q^k."""
    longer = [*counts, *([0] * k)]
    return [value - (counts[i - k] if i >= k else 0) for i, value in enumerate(longer)]


def _divided(counts: Sequence[int], k: int) -> list[int]:
    """Divide by 1 - q^k, which leaves no remainder here."""
    out = list(counts)
    for i in range(k, len(out)):
        out[i] += out[i - k]
    return out[: len(out) - k]


def exact_p(s: int, ties: Iterable[tuple[int, ...]]) -> float:
    """Return the exact two-sided p of Mann-Kendall S, the chance of an |S| as large without a trend.

    ``ties`` holds one tuple of group sizes per segment, as :func:`null_counts` takes them.
    """
    return _tail(abs(int(s)), tuple(sorted(tuple(sorted(group)) for group in ties)))


@lru_cache(maxsize=65536)
def _tail(s: int, ties: tuple[tuple[int, ...], ...]) -> float:
    counts, pairs = _joint_counts(ties)
    total = sum(counts)
    return sum(count for d, count in enumerate(counts) if abs(pairs - 2 * d) >= s) / total


@lru_cache(maxsize=4096)
def _joint_counts(ties: tuple[tuple[int, ...], ...]) -> tuple[tuple[int, ...], int]:
    """Return the counts of discordant pairs over all segments, and the number of untied pairs."""
    counts: tuple[int, ...] = (1,)
    for group in ties:
        counts = _convolved(counts, null_counts(group))
    return counts, len(counts) - 1


def _convolved(a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, ...]:
    if len(a) == 1:
        return b if a[0] == 1 else tuple(a[0] * value for value in b)
    product = np.convolve(np.array(a, dtype=object), np.array(b, dtype=object))
    return tuple(int(value) for value in product)
