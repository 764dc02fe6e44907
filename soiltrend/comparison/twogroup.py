"""Two groups of beds: difference of their mean yearly change, its interval, permutation, equivalence."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import comb, prod

import numpy as np
from scipy.special import stdtr, stdtrit

from soiltrend.comparison.arrays import Flags, Floats, Labels, dummies
from soiltrend.data import load_toml


@dataclass(frozen=True, slots=True)
class Difference:
    """An estimate with its standard error and the degrees of freedom of that error."""

    estimate: float
    se: float
    df: float

    @property
    def p_value(self) -> float:
        """Two-sided p of no difference."""
        if self.se == 0:
            return 1.0 if self.estimate == 0 else 0.0
        return float(2 * stdtr(self.df, -abs(self.estimate / self.se)))

    def interval(self, level: float) -> tuple[float, float]:
        """Return the two-sided interval at ``level``, e.g. 0.95."""
        half = float(stdtrit(self.df, 0.5 + level / 2)) * self.se
        return self.estimate - half, self.estimate + half

    def no_larger_than(self) -> float:
        """Smallest margin that two one-sided tests at 5 % still support: the far end of the 90 % interval."""
        level = float(load_toml("comparison")["verdict"]["equivalence_level"])
        return max(abs(end) for end in self.interval(level))


def two_group(
    slopes: Floats,
    covariance: Floats,
    treated: Flags,
    *,
    prior_df: float,
    tau0: float = 0.0,
    blocks: Labels | None = None,
) -> Difference | None:
    """Compare the mean slope of treated beds with that of the others.

    Weighted least squares of the slopes on the group (and the block) with variance proportional to
    ``covariance + tau0**2``; its scale is shrunk towards 1 with ``prior_df`` prior degrees of freedom:
    ``scale = (prior_df + RSS) / (prior_df + m - 2)``. With equal variances v0 that is the moderated
    ``v = (4 v0 + SS_within) / (4 + m - 2)`` (Smyth 2004), and with ``prior_df = 0`` the pooled t test.

    Returns None when nothing is left to say: no degrees of freedom, or groups and blocks coincide.
    """
    design = _design(treated, blocks)
    rank = int(np.linalg.matrix_rank(design))
    df = prior_df + len(slopes) - rank
    if df <= 0 or rank == int(np.linalg.matrix_rank(design[:, :-1])):
        return None
    precision, inverse = _weights(covariance, design, tau0)
    coefficients = inverse @ (design.T @ precision @ slopes)
    left = slopes - design @ coefficients
    scale = (prior_df + float(left @ precision @ left)) / df
    return Difference(float(coefficients[-1]), float(np.sqrt(scale * inverse[-1, -1])), df)


def stated_error(covariance: Floats, treated: Flags, tau0: float) -> float:
    """Return the standard error of the difference that a design has if the noise is as stated."""
    _, inverse = _weights(covariance, _design(treated, None), tau0)
    return float(np.sqrt(inverse[-1, -1]))


def _design(treated: Flags, blocks: Labels | None) -> Floats:
    known = np.ones((len(treated), 1)) if blocks is None else dummies(blocks)
    return np.hstack([known, treated[:, None].astype(np.float64)])


def _weights(covariance: Floats, design: Floats, tau0: float) -> tuple[Floats, Floats]:
    """Return the precision of the slopes, and the covariance of the coefficients at the stated scale."""
    beds = len(covariance)
    common = covariance.trace() / beds  # any common part cancels; it keeps deviations invertible
    precision = np.linalg.inv(covariance + tau0**2 * np.eye(beds) + common)
    inverse = np.linalg.pinv(design.T @ precision @ design, hermitian=True)
    return np.asarray(precision, dtype=np.float64), np.asarray(inverse, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Permutation:
    """Exact (or drawn) permutation test: ``smallest`` is the least p this design can give."""

    p_value: float
    smallest: float
    arrangements: int
    exact: bool


@cache
def _choices(size: int, taken: int) -> Labels:
    """Return every choice of ``taken`` out of ``size`` positions, one per row."""
    rows = np.array(list(combinations(range(size), taken)), dtype=np.int64)
    return rows.reshape(comb(size, taken), taken)


def permutation(slopes: Floats, treated: Flags, blocks: Labels | None = None) -> Permutation:
    """Rearrange the labels as the lot could have drawn them, within blocks where there are blocks.

    The statistic is the difference of group means; p counts arrangements at least as far from no
    difference as the one drawn (Fisher 1935). Too many arrangements are sampled with a fixed seed.
    """
    group = np.zeros(len(slopes), dtype=np.int64) if blocks is None else blocks
    members = [np.flatnonzero(group == number) for number in np.unique(group)]
    taken = [int(treated[m].sum()) for m in members]
    count = prod(comb(len(m), k) for m, k in zip(members, taken, strict=True))
    centred = _within_expectation(slopes, treated, members)
    observed = abs(float(centred[treated].sum()))
    rules = load_toml("comparison")["permutation"]
    if count <= rules["largest_count"]:
        sums = _all_sums(centred, members, taken)
        return Permutation(
            _share_as_far(sums, observed), _share_as_far(sums, np.abs(sums).max()), count, True
        )
    sums = _drawn_sums(centred, members, taken, int(rules["draws"]))
    p_value = (1 + np.count_nonzero(np.abs(sums) >= observed - _slack(sums))) / (1 + len(sums))
    return Permutation(float(p_value), 1 / (1 + len(sums)), count, False)


def _within_expectation(slopes: Floats, treated: Flags, members: Sequence[Labels]) -> Floats:
    """Subtract from each block its mean, so that the treated sum is zero on average over arrangements."""
    centred = slopes.astype(np.float64).copy()
    for m in members:
        centred[m] -= centred[m].mean()
    return centred


def _slack(sums: Floats) -> float:
    return 1e-9 * max(float(np.abs(sums).max()), 1e-300)


def _share_as_far(sums: Floats, observed: float) -> float:
    return float(np.mean(np.abs(sums) >= observed - _slack(sums)))


def _all_sums(centred: Floats, members: Sequence[Labels], taken: Sequence[int]) -> Floats:
    sums: Floats = np.zeros(1)
    for m, k in zip(members, taken, strict=True):
        here = centred[m][_choices(len(m), k)].sum(axis=1)
        sums = (sums[:, None] + here[None, :]).ravel()
    return sums


def _drawn_sums(centred: Floats, members: Sequence[Labels], taken: Sequence[int], draws: int) -> Floats:
    random = np.random.default_rng(20240229)
    sums: Floats = np.zeros(draws)
    for m, k in zip(members, taken, strict=True):
        order = np.argsort(random.random((draws, len(m))), axis=1)[:, :k]
        sums += centred[m][order].sum(axis=1)
    return sums
