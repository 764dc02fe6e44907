"""The design of one bed's series: its dates so far, those to come, and what they can show."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import expm1, inf, log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from soiltrend.data import load_toml
from soiltrend.regression import detectable_delta, equivalence_margin, exaggeration
from soiltrend.trends import Trend

Floats = NDArray[np.float64]
DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Design:
    """Dates in decimal years with their segment, and each report's variance as a multiple of ``s0**2``.

    ``join`` is the variance, in the same multiple, with which the step from the present segment to an
    earlier one is known; a split sample gives it.
    """

    years: Floats
    segment: NDArray[np.int64]
    variance: Floats
    s0: float
    d0: float
    join: float = inf

    @classmethod
    def of(cls, trend: Trend) -> "Design":
        """Return the design so far: the measured reports of the series."""
        points = [point for point in trend.points if not point.qualifier]
        return cls(
            years=np.array([decimal_year(point.sampled_on) for point in points]),
            segment=np.array([point.segment for point in points], dtype=np.int64),
            variance=np.ones(len(points)),
            s0=_believable_noise(trend),
            d0=trend.d0,
        )

    def then(self, days: Sequence[date], *, variance: float = 1.0, new_segment: bool = False) -> "Design":
        """Return the design after further tests, by default in the segment of the latest report."""
        last = int(self.segment[np.argmax(self.years)]) if len(self.years) else 0
        number = int(self.segment.max(initial=0)) + 1 if new_segment else last
        return replace(
            self,
            years=np.append(self.years, [decimal_year(day) for day in days]),
            segment=np.append(self.segment, np.full(len(days), number)),
            variance=np.append(self.variance, np.full(len(days), variance)),
        )

    @property
    def df(self) -> int:
        """Residual degrees of freedom: n - 1 - segments, one more where a step is known."""
        segments = len(np.unique(self.segment)) - (self.join < inf)
        return max(0, len(self.years) - 1 - segments)

    @property
    def span(self) -> float:
        """Years inside segments; all years where the segments are joined."""
        if self.join < inf:
            return float(np.ptp(self.years))
        return float(sum(np.ptp(self.years[self.segment == s]) for s in np.unique(self.segment)))

    @property
    def information(self) -> float:
        """Precision of the slope in units of ``1 / s0**2``; Sxx where all reports are alike.

        Equal weights, as in the fit: ``Sxx**2 / sum(dev**2 variance)``. A known step between two segments
        adds the slope between their means, with variance (1/n1 + 1/n2 + join) / (t2 - t1)**2.
        """
        dev = self.years.copy()
        for s in np.unique(self.segment):
            dev[self.segment == s] -= self.years[self.segment == s].mean()
        sxx, noise = float(dev @ dev), float(dev**2 @ self.variance)
        within = sxx**2 / noise if noise > 0 else 0.0
        return within + self._between()

    def _between(self) -> float:
        """Return what the step between the present segment and the best of the others adds."""
        if self.join == inf:
            return 0.0
        present = int(self.segment[np.argmax(self.years)])
        others = [int(s) for s in np.unique(self.segment) if s != present]
        return max((self._step(present, other) for other in others), default=0.0)

    def _step(self, one: int, other: int) -> float:
        first, second = self.segment == one, self.segment == other
        apart = float(self.years[first].mean() - self.years[second].mean())
        error = sum(float(self.variance[s].sum()) / np.count_nonzero(s) ** 2 for s in (first, second))
        return apart**2 / (error + self.join)

    @property
    def se(self) -> float | None:
        """Stated standard error of the slope; None without two dates to draw a line."""
        information = self.information
        return self.s0 / sqrt(information) if information > 1e-12 else None

    def smallest_rate(self) -> float | None:
        """Return the smallest true slope, on the fitting scale per year, shown with the usual chance."""
        rules, se = load_toml("planning")["power"], self.se
        if se is None:
            return None
        return detectable_delta(self.d0, float(self.df), float(rules["chance"]), float(rules["level"])) * se

    def margin_rate(self) -> float | None:
        """Return the smallest margin for 'no change' reached with the usual chance, a slope as above."""
        rules, se = load_toml("planning")["power"], self.se
        if se is None:
            return None
        level = float(rules["equivalence_level"])
        return equivalence_margin(self.d0, float(self.df), float(rules["chance"]), level) * se

    def overstatement(self, slope: float) -> float | None:
        """Return by how much a shown result overstates a true ``slope``, on average (type M)."""
        se = self.se
        if se is None or slope <= 0:
            return None
        return exaggeration(slope / se, self.d0, float(self.df))[2]


def _believable_noise(trend: Trend) -> float:
    """Return the learned noise of one report; the stated one where the learned must hold a mistake."""
    most = float(load_toml("planning")["noise"]["most_learned"])
    return trend.s0 if trend.s0 <= most * trend.s0_stated else trend.s0_stated


def decimal_year(day: date) -> float:
    """Return a day as years from the start of the calendar."""
    return day.toordinal() / DAYS_PER_YEAR


def in_unit(change: float, trend: Trend) -> float:
    """Return a change on the fitting scale in the unit, at the level of the series."""
    if trend.scale != "log":
        return change
    return level_of(trend) * expm1(change)


def level_of(trend: Trend) -> float:
    """Return the level at which changes are expressed: that of the fit, else the last value."""
    return trend.level or trend.last_value or 1.0


def on_scale(fraction: float, trend: Trend) -> float:
    """Return a change given as a share of the level (log scale) or in the unit (raw) on the fitting scale."""
    return abs(log1p(fraction)) if trend.scale == "log" else abs(fraction)


def testable_year(
    trend: Trend, change_fraction: float, future: Sequence[date], *, per_year: bool = False
) -> int | None:
    """Return the year of the first test that would show a true change of this size eight times in ten.

    Parameters
    ----------
    trend : Trend
        The series; its measured dates count.
    change_fraction : float
        Change as a share of the level (0.5 = half more, -0.5 = half less), or in the unit where the series
        is fitted as it is (pH, saturations).
    future : dates
        The tests to come, in order.
    per_year : bool
        Whether the change is a yearly rate rather than a total since the first test.

    Returns
    -------
    int or None
        A year of ``future``; the year of the last test where that shows it already; None beyond ``future``.
    """
    change, design = on_scale(change_fraction, trend), Design.of(trend)
    for tests in range(len(future) + 1):
        ahead = design.then(future[:tests])
        rate = ahead.smallest_rate()
        if rate is not None and rate * (1.0 if per_year else ahead.span) <= change:
            return future[tests - 1].year if tests else (trend.last_on or future[0]).year
    return None
