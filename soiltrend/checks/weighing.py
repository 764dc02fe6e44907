"""How well one explanation fits numbers: exact marginal likelihoods of a departure, on plain arrays.

A series y has covariance s²V about a free level; s² is scaled inverse chi-square with the moderated
``weight`` degrees of freedom around ``prior``. An explanation adds x·d with d ~ N(mean, sd²). With P the
inverse of V, the level swept out, and I = x'Px (Sherman and Morrison for V + sd² xx')::

    q0 = y'Py          q1 = q0 - size² I + (size - mean)² / (1/I + sd²/k²)
    log odds = (w + n - 1)/2 · log[(w prior + q0)/(w prior + q1)] - ½ log(1 + I sd²/k²)

which is the multivariate t of both models (k² = prior scales sd to the units of V).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from soiltrend.checks.anomalies import drift_of
from soiltrend.checks.budget import setting
from soiltrend.checks.departures import from_others, precision
from soiltrend.checks.panels import Panel

Array = NDArray[np.float64]
INTP = NDArray[np.intp]


@dataclass(frozen=True)
class Line:
    """One series with the covariance of noise and drift; laboratories are not allowed for.

    ``y`` are the values at the panel's ``columns``; ``prior`` (variance factor) and ``weight`` (degrees of
    freedom) say how far the stated noise is believed.
    """

    columns: INTP
    y: Array
    p: Array
    prior: float
    weight: float

    def log_odds(self, x: Array, mean: float, sd: float) -> float:
        """Return ln of the odds of ``x`` times N(mean, sd²) against nothing at all."""
        information = float(x @ self.p @ x)
        if information <= 1e-12:
            return 0.0
        size = float(x @ self.p @ self.y) / information
        spread = float(self.y @ self.p @ self.y)
        scaled = sd**2 / self.prior
        left = max(spread - size**2 * information, 0.0) + (size - mean) ** 2 / (1 / information + scaled)
        base = self.weight * self.prior
        half = (self.weight + self.y.size - 1) / 2
        gain = half * np.log((base + spread) / (base + left))
        return float(gain - 0.5 * np.log1p(information * scaled))


def shared_lines(panels: Sequence[Panel], drifting: bool) -> list[Line | None]:
    """Return what all beds of each panel did together; the noise of one is moderated by the others."""
    rough = [_shared(panel, drifting) for panel in panels]
    known = [i for i, line in enumerate(rough) if line is not None]
    if not known:
        return rough
    lines = [line for line in rough if line is not None]
    spread = np.array([[line.y @ line.p @ line.y for line in lines]])
    free = np.array([line.y.size - 1.0 for line in lines])
    prior, weight = from_others(spread, free, np.array([line.weight for line in lines]))
    for j, i in enumerate(known):
        rough[i] = replace(lines[j], prior=float(prior[0, j]), weight=float(weight[0, j]))
    return rough


def _drift(panel: Panel, drifting: bool) -> float:
    return drift_of(panel) if drifting else 0.0


def _shared(panel: Panel, drifting: bool) -> Line | None:
    columns = np.flatnonzero(~np.isnan(panel.shared))
    if columns.size < 2:
        return None
    beds = (~np.isnan(panel.y[:, columns])).sum(axis=0)
    own = np.nanmedian(panel.own_sd) ** 2 / (beds * setting("robust", "normal_efficiency"))
    p = precision(panel.years[columns], panel.year_sd**2 + own, _drift(panel, drifting))
    return Line(columns, panel.shared[columns], p, 1.0, panel.prior.d0)


@dataclass(frozen=True)
class Lines:
    """The series of one panel: what its rounds shared (None: too few beds to say), and each bed's own."""

    panel: Panel
    shared: Line | None
    drifting: bool = True

    @cached_property
    def own(self) -> dict[int, Line]:
        """Each bed's series without what its rounds shared, by row of the panel."""
        panel = self.panel
        rough = {b: line for b in range(len(panel.beds)) if (line := self._one(b)) is not None}
        spread = np.array([[line.y @ line.p @ line.y for line in rough.values()]])
        if not rough:
            return {}
        free = np.array([line.y.size - 1.0 for line in rough.values()])
        prior, weight = from_others(spread, free, panel.prior.d0)
        return {
            b: Line(line.columns, line.y, line.p, float(prior[0, i]), float(weight[0, i]))
            for i, (b, line) in enumerate(rough.items())
        }

    def _one(self, bed: int) -> Line | None:
        panel = self.panel
        columns = np.flatnonzero(~np.isnan(panel.rest[bed]))
        if columns.size < 2:
            return None
        alone = np.where(np.isnan(panel.shared[columns]), panel.year_sd**2, 0.0)
        p = precision(panel.years[columns], panel.own_sd[bed] ** 2 + alone, _drift(panel, self.drifting))
        return Line(columns, panel.rest[bed, columns], p, 1.0, panel.prior.d0)
