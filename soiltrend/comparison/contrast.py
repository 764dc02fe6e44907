"""One group of beds against another in one analyte: from reports to a difference per year."""

from dataclasses import dataclass, replace

import numpy as np

from soiltrend.comparison.arrays import Flags, Floats, Labels
from soiltrend.comparison.mixed import SecondOpinion, second_opinion
from soiltrend.comparison.samples import Samples
from soiltrend.comparison.slopes import BedSlopes, separate_slopes, shared_slopes, usable
from soiltrend.comparison.twogroup import Difference, Permutation, permutation, two_group
from soiltrend.data import load_toml

PERMUTATION = "exact permutation"
DRAWN = "drawn permutation"
POOLED = "pooled t of slopes"
MODERATED = "moderated t of slopes"


@dataclass(frozen=True, slots=True)
class ReportNoise:
    """Stated noise of one report on the fitting scale, its prior degrees of freedom, the year's share of it.

    ``spread`` is the prior SD of the true yearly change of beds treated alike (tau0).
    """

    s0: float
    d0: float
    year_share: float
    spread: float

    def updated(self, fitted: BedSlopes) -> float:
        """Return the variance of one report, shrunk towards the stated one: (d0 s0^2 + RSS)/(d0 + d)."""
        return (self.d0 * self.s0**2 + fitted.rss) / (self.d0 + fitted.df)


@dataclass(frozen=True, slots=True)
class Contrast:
    """What came out: the difference on the fitting scale per year, and all it rests on.

    ``used`` are the reports used, ``treated`` marks the beds of the group among ``used.beds``;
    ``other_end`` is the difference with every result beyond a limit at the far end of what it can be.
    """

    difference: Difference
    estimator: str
    permutation: Permutation | None
    used: Samples
    treated: Flags
    slopes: Floats
    shared: bool
    other_end: Difference | None = None

    @property
    def p_value(self) -> float:
        """The p value of the estimator named; with results beyond a limit the larger of both ends."""
        if self.permutation is not None and self.estimator in (PERMUTATION, DRAWN):
            return self.permutation.p_value
        return max(found.p_value for found in self._ends())

    @property
    def no_larger_than(self) -> float:
        """Smallest margin on the fitting scale that two one-sided tests at 5 % support."""
        return max(found.no_larger_than() for found in self._ends())

    def interval(self, level: float) -> tuple[float, float]:
        """Return the interval, wide enough for both ends of results beyond a limit."""
        intervals = [found.interval(level) for found in self._ends()]
        return min(low for low, _ in intervals), max(high for _, high in intervals)

    def _ends(self) -> tuple[Difference, ...]:
        return (self.difference,) if self.other_end is None else (self.difference, self.other_end)


def contrast(
    samples: Samples,
    group: tuple[str, ...],
    reference: tuple[str, ...],
    noise: ReportNoise,
    *,
    by_lot: bool = False,
    blocks: dict[str, str] | None = None,
) -> Contrast | None:
    """Return the difference of mean yearly change, or None where the reports cannot carry one.

    Visits that both groups share are used, with a level of their own each; where the groups share too
    few, every bed's own line is used and the year stays in the noise. A laboratory change does not cut
    the lines: all beds of a visit share it, so the level of the visit takes it up. A change of method or
    layer does, since it moves beds of different history by different amounts.
    """
    ours = samples.only(samples.of(group + reference))
    fitted, used = _fitted(ours, group, noise)
    if fitted is None:
        return None
    treated = np.array([name in group for name in used.beds], dtype=np.bool_)
    numbers = _block_numbers(used.beds, blocks)
    found, pooled = _difference(fitted, treated, noise, numbers)
    if found is None:
        return None
    lot = permutation(fitted.slopes, treated, numbers) if by_lot else None
    result = Contrast(
        difference=found,
        estimator=_estimator(pooled, lot),
        permutation=lot,
        used=used,
        treated=treated,
        slopes=fitted.slopes,
        shared=fitted.shared,
    )
    return replace(result, other_end=_other_end(ours, group, noise, numbers))


def _difference(
    fitted: BedSlopes, treated: Flags, noise: ReportNoise, numbers: Labels | None
) -> tuple[Difference | None, bool]:
    """Return the difference of the groups' slopes, and whether by the pooled t (four beds a side)."""
    sides = min(int(treated.sum()), int((~treated).sum()))
    pooled = sides >= int(load_toml("comparison")["pooled_t"]["beds_a_side"])
    prior_df = 0.0 if pooled else float(load_toml("comparison")["prior"]["degrees_of_freedom"])
    covariance = noise.updated(fitted) * fitted.covariance
    found = two_group(
        fitted.slopes, covariance, treated, prior_df=prior_df, tau0=noise.spread, blocks=numbers
    )
    return found, pooled


def _other_end(
    ours: Samples, group: tuple[str, ...], noise: ReportNoise, numbers: Labels | None
) -> Difference | None:
    """Return the difference with results beyond a limit at the far end of what they can be."""
    if not ours.beyond.any():
        return None
    fitted, used = _fitted(replace(ours, values=ours.values + ours.beyond), group, noise)
    if fitted is None:
        return None
    treated = np.array([name in group for name in used.beds], dtype=np.bool_)
    return _difference(fitted, treated, noise, numbers)[0]


def _estimator(pooled: bool, lot: Permutation | None) -> str:
    """Name the estimator: a permutation test only where the design lets it reach 5 %."""
    if lot is not None and lot.smallest <= float(load_toml("comparison")["verdict"]["alpha"]):
        return PERMUTATION if lot.exact else DRAWN
    return POOLED if pooled else MODERATED


def _block_numbers(beds: tuple[str, ...], blocks: dict[str, str] | None) -> Labels | None:
    if not blocks or not all(blocks.get(bed) for bed in beds):
        return None
    names = [blocks[bed] for bed in beds]
    return np.unique(names, return_inverse=True)[1].astype(np.int64)


def _fitted(ours: Samples, group: tuple[str, ...], noise: ReportNoise) -> tuple[BedSlopes | None, Samples]:
    """Fit the lines of all beds on shared visits, else each bed by itself."""
    kept = usable(ours.visit, ours.bed, ours.level, ours.of(group))
    if kept.any():
        used = ours.only(kept)
        fitted = shared_slopes(used.values, used.years, used.bed, used.level, used.visit)
        if fitted.estimable(_mean_difference(used, group)):
            return fitted, used
    used = ours.only(_has_line(ours))
    marks = used.of(group)
    if not marks.any() or marks.all():
        return None, used
    apart = separate_slopes(
        used.values, used.years, used.bed, used.level, used.visit, year_share=noise.year_share
    )
    return apart, used


def _mean_difference(used: Samples, group: tuple[str, ...]) -> Floats:
    treated = np.array([name in group for name in used.beds], dtype=np.bool_)
    return np.asarray(treated / treated.sum() - ~treated / (~treated).sum(), dtype=np.float64)


def _has_line(ours: Samples) -> Flags:
    """Mark the reports of beds with two dates or more on one level."""
    kept = np.zeros(len(ours), dtype=np.bool_)
    for number in range(len(ours.beds)):
        here = ours.bed == number
        levels = {level for level in ours.level[here] if np.ptp(ours.years[here & (ours.level == level)]) > 0}
        if levels:
            kept |= here
    return kept


def opinion(found: Contrast) -> SecondOpinion | None:
    """Ask the mixed model from six beds and four years, two beds a side, on one level for each bed."""
    used, treated = found.used, found.treated
    rules = load_toml("comparison")["second_opinion"]
    enough = len(used.beds) >= rules["least_beds"] and len(np.unique(used.visit)) >= rules["least_years"]
    two_a_side = min(int(treated.sum()), int((~treated).sum())) >= 2
    unbroken = len(np.unique(used.level)) == len(used.beds)
    if not (found.shared and enough and two_a_side and unbroken):
        return None
    return second_opinion(used.values, used.years, used.bed, used.visit, treated[used.bed])
