"""Yearly change of every bed at once, with what the beds of one visit share taken out.

All beds of one visit share the season and the laboratory's day. Giving each visit a level of its own
takes that out exactly, whatever beds were sampled when; what remains are the differences between the
beds' changes, and their covariance says how unbalanced years weaken them.
"""

from dataclasses import dataclass

import numpy as np

from soiltrend.comparison.arrays import Flags, Floats, Labels, dummies

TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class BedSlopes:
    """Changes per year of ``m`` beds and their covariance in units of one report's variance.

    With ``shared`` the slopes are deviations that sum to zero: only differences between them mean
    anything, and ``covariance`` is that of the deviations. ``rss`` and ``df`` belong to the scatter
    that is left about the lines.
    """

    slopes: Floats
    covariance: Floats
    rss: float
    df: int
    shared: bool

    def estimable(self, contrast: Floats) -> bool:
        """Whether this combination of slopes is determined by the data (and not by the algebra)."""
        values, vectors = np.linalg.eigh(self.covariance)
        kept = vectors[:, values > TOLERANCE * max(float(values.max()), TOLERANCE)]
        left = contrast - kept @ (kept.T @ contrast)
        return bool(np.abs(left).max() < 1e-6)


def _nuisance(years: Floats, level: Labels, visit: Labels | None) -> Floats:
    columns = [dummies(level)]
    if visit is not None:
        columns += [dummies(visit), years[:, None]]
    return np.hstack(columns)


def _without(nuisance: Floats, matrix: Floats) -> Floats:
    """Return ``matrix`` less its projection on the columns of ``nuisance``."""
    left, size, _ = np.linalg.svd(nuisance, full_matrices=False)
    basis = left[:, size > TOLERANCE * size.max()]
    return np.asarray(matrix - basis @ (basis.T @ matrix))


def shared_slopes(values: Floats, years: Floats, bed: Labels, level: Labels, visit: Labels) -> BedSlopes:
    """Fit one line for each bed beside one level for each ``level`` (bed and method) and each visit.

    Parameters are arrays with one entry per report; ``years`` in decimal years from any origin.
    Frisch-Waugh-Lovell: levels, visits and the common line are projected out, then least squares.
    """
    nuisance = _nuisance(years - years.mean(), level, visit)
    design = _without(nuisance, dummies(bed) * (years - years.mean())[:, None])
    information = design.T @ design
    covariance = np.asarray(np.linalg.pinv(information, rcond=TOLERANCE, hermitian=True), dtype=np.float64)
    left = _without(nuisance, values[:, None])[:, 0]
    slopes = covariance @ (design.T @ left)
    rank = int(np.linalg.matrix_rank(nuisance)) + int(np.linalg.matrix_rank(information, tol=TOLERANCE))
    return BedSlopes(
        slopes, covariance, float(np.sum((left - design @ slopes) ** 2)), len(values) - rank, True
    )


def separate_slopes(
    values: Floats, years: Floats, bed: Labels, level: Labels, visit: Labels, *, year_share: float
) -> BedSlopes:
    """Fit one line for each bed where the groups share no visits.

    ``year_share`` is the share of one report's variance that all beds of a visit have in common; it
    then stays in the slopes, and beds of one visit do not average it away.
    """
    nuisance = _nuisance(years - years.mean(), level, None)
    design = _without(nuisance, dummies(bed) * (years - years.mean())[:, None])
    to_slopes = np.linalg.pinv(design.T @ design, rcond=TOLERANCE, hermitian=True) @ design.T
    together = dummies(visit)
    report = (1 - year_share) * np.eye(len(values)) + year_share * together @ together.T
    slopes = to_slopes @ values
    left = _without(nuisance, values[:, None])[:, 0] - design @ slopes
    df = len(values) - int(np.linalg.matrix_rank(nuisance)) - int(np.linalg.matrix_rank(design))
    return BedSlopes(slopes, to_slopes @ report @ to_slopes.T, float(left @ left), df, False)


def usable(visit: Labels, bed: Labels, level: Labels, group: Flags | None) -> Flags:
    """Mark the reports of visits that both groups share, on levels that have two such visits or more.

    Without ``group`` a visit counts when two beds share it. Repeated until nothing more falls away.
    """
    kept = np.ones(len(visit), dtype=np.bool_)
    while True:
        before = int(kept.sum())
        for number in np.unique(visit):
            here = kept & (visit == number)
            if not _shared(bed[here], None if group is None else group[here]):
                kept &= ~here
        for number in np.unique(level):
            here = kept & (level == number)
            if len(np.unique(visit[here])) < 2:
                kept &= ~here
        if int(kept.sum()) == before:
            return kept


def _shared(bed: Labels, group: Flags | None) -> bool:
    if group is None:
        return len(np.unique(bed)) >= 2
    return bool(group.any() and (~group).any())
