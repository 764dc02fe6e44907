"""Beds that were chosen because they tested low: what that alone does to their later reports."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from soiltrend.comparison.arrays import Flags, Floats
from soiltrend.comparison.contrast import ReportNoise
from soiltrend.comparison.groups import first_application, low_beds
from soiltrend.comparison.samples import Samples
from soiltrend.comparison.selection import expected_rise_of_bed, reliability
from soiltrend.data import load_toml
from soiltrend.records.models import Garden


@dataclass(frozen=True, slots=True)
class Selection:
    """``beds`` were chosen because they were poor, by the reports up to ``day``.

    ``after`` are the reports since, which that choice cannot have bent; ``fake_rise`` is the rise of the
    group's mean on the fitting scale that the choice alone makes likely, None with too few beds to size it.
    """

    beds: tuple[str, ...]
    day: date
    after: Samples
    fake_rise: float | None


def selection_of(
    samples: Samples, group: tuple[str, ...], reference: tuple[str, ...], garden: Garden, noise: ReportNoise
) -> Selection | None:
    """Return how the group was chosen, None where it was not, or where the reference was chosen alike."""
    low = low_beds(garden, group, samples.analyte)
    if not low or low_beds(garden, reference, samples.analyte):
        return None
    day = _chosen_by(samples, group, first_application(garden, group))
    late = np.array([when > day for when in samples.days], dtype=np.bool_)
    for number in np.unique(samples.visit[~late]):
        late &= samples.visit != number
    return Selection(low, day, samples.only(late), _fake_rise(samples, low, group, day, noise))


def _chosen_by(samples: Samples, group: tuple[str, ...], applied: date | None) -> date:
    """Return the day of the last report that can have led to the choice: before the first application."""
    days = sorted(when for when, ours in zip(samples.days, samples.of(group), strict=True) if ours)
    before = [when for when in days if applied is not None and when <= applied]
    return before[-1] if before else days[0]


def _fake_rise(
    samples: Samples, low: tuple[str, ...], group: tuple[str, ...], day: date, noise: ReportNoise
) -> float | None:
    """Return the mean of (1 - rho)(mu - y) over the group, 0 for its beds that were not chosen as low."""
    visits = np.unique(samples.visit[np.array([when == day for when in samples.days], dtype=np.bool_)])
    baseline = _bed_means(samples, np.isin(samples.visit, visits))
    known = ~np.isnan(baseline)
    if int(known.sum()) < int(load_toml("comparison")["chosen_low"]["least_beds"]):
        return None
    rho = reliability(baseline[known], noise.s0)
    mean = float(baseline[known].mean())
    values = dict(zip(samples.beds, baseline, strict=True))
    rises = [expected_rise_of_bed(mean, rho, float(values[bed])) for bed in low if not np.isnan(values[bed])]
    return sum(rises) / len(group) if rises else None


def _bed_means(samples: Samples, kept: Flags) -> Floats:
    """Return the mean of each bed's reports that are marked, NaN where it has none."""
    means = np.full(len(samples.beds), np.nan)
    for number in range(len(samples.beds)):
        here = kept & (samples.bed == number)
        if here.any():
            means[number] = samples.values[here].mean()
    return means
