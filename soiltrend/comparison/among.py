"""Beds against each other: each bed's yearly change against the mean of the others."""

from dataclasses import replace
from math import sqrt

import numpy as np
from scipy.special import stdtrit

from soiltrend.comparison import wording
from soiltrend.comparison.arrays import Floats
from soiltrend.comparison.contrast import ReportNoise
from soiltrend.comparison.model import Comparison
from soiltrend.comparison.pooling import Pooled, pool
from soiltrend.comparison.samples import Samples
from soiltrend.comparison.scale import Reader
from soiltrend.comparison.slopes import BedSlopes, shared_slopes, usable
from soiltrend.comparison.twogroup import Difference
from soiltrend.data import load_toml

OTHERS = "the other beds"
WHY = (
    "A bed that changed unlike the others says nothing of why, and what was done to some beds moves the mean."
)
ESTIMATOR = "difference from the other beds, partially pooled"


def compare_beds(samples: Samples, noise: ReportNoise, level: float) -> list[Comparison]:
    """Return one row for each bed from six beds on; below, one row that says why there is no ranking.

    The interval and p value are for the bed's own difference from the mean of the others; ``pooled_*`` is
    what is left of it after drawing it towards the mean (Paule-Mandel), the figure to rank by.
    """
    used = samples.only(usable(samples.visit, samples.bed, samples.level, None))
    least = int(load_toml("comparison")["pooling"]["least_beds"])
    if len(used.beds) < least:
        return [_too_few(samples, level, least)] if len(samples.beds) > 1 else []
    fitted = shared_slopes(used.values, used.years, used.bed, used.level, used.visit)
    if not all(fitted.estimable(_against_others(j, len(used.beds))) for j in range(len(used.beds))):
        return [_too_few(samples, level, least)]
    pooled = pool(fitted.slopes, noise.updated(fitted) * np.diag(fitted.covariance))
    rows = [_row(j, used, fitted, noise, level) for j in range(len(used.beds))]
    return [_with_pooled(row, j, used, pooled, level) for j, row in enumerate(rows)]


def _freedom(noise: ReportNoise, fitted: BedSlopes) -> float:
    """Return the degrees of freedom of the shared noise, capped since beds differ in it."""
    return min(noise.d0 + fitted.df, max(noise.d0, float(load_toml("noise")["defaults"]["d0_cap"])))


def _against_others(number: int, beds: int) -> Floats:
    weights = np.full(beds, -1 / (beds - 1))
    weights[number] = 1.0
    return weights


def _row(number: int, used: Samples, fitted: BedSlopes, noise: ReportNoise, level: float) -> Comparison:
    weights = _against_others(number, len(used.beds))
    variance, df = noise.updated(fitted), _freedom(noise, fitted)
    se = sqrt(variance * float(weights @ fitted.covariance @ weights))
    found = Difference(float(weights @ fitted.slopes), se, df)
    reader = Reader.of(used)
    low, high = found.interval(level)
    others = used.beds[:number] + used.beds[number + 1 :]
    return Comparison(
        kind="bed",
        analyte=used.analyte,
        unit=used.unit,
        method=used.method,
        group=used.beds[number],
        reference=OTHERS,
        beds=(used.beds[number],),
        reference_beds=others,
        difference_per_year=reader.unit(found.estimate),
        ci_low=reader.unit(low),
        ci_high=reader.unit(high),
        ci_level=level,
        cautions=(WHY,),
        p_value=found.p_value,
        estimator=ESTIMATOR,
        percent_per_year=reader.share(found.estimate),
        percent_low=reader.share(low),
        percent_high=reader.share(high),
        no_larger_than=reader.unit(found.no_larger_than()),
        visits=len(np.unique(used.visit)),
        first_on=min(used.days),
        last_on=max(used.days),
    )


def _with_pooled(row: Comparison, number: int, used: Samples, pooled: Pooled, level: float) -> Comparison:
    """Add the drawn-in difference, how far beds differ, and how far they may."""
    reader = Reader.of(used)
    middle = float(pooled.slopes[number]) - pooled.mean
    half = float(stdtrit(len(used.beds) - 1, 0.5 + level / 2)) * float(pooled.slope_se[number])
    return replace(
        row,
        pooled_difference=reader.unit(middle),
        pooled_low=reader.unit(middle - half),
        pooled_high=reader.unit(middle + half),
        spread_per_year=reader.unit(sqrt(pooled.tau2)),
        spread_at_most=reader.unit(sqrt(pooled.tau2_high)),
    )


def _too_few(samples: Samples, level: float, least: int) -> Comparison:
    row = Comparison(
        kind="bed",
        analyte=samples.analyte,
        unit=samples.unit,
        method=samples.method,
        group="each bed",
        reference=OTHERS,
        beds=samples.beds,
        reference_beds=samples.beds,
        ci_level=level,
    )
    return replace(row, sentence=wording.no_ranking(row, least))
