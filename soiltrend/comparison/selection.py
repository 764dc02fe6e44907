"""Regression to the mean: a bed picked because it tested low rises on paper without anything being done.

Barnett, van der Pols & Dobson 2005, Int. J. Epidemiol. 34:215-220, doi 10.1093/ije/dyh299.
"""

from math import sqrt

import numpy as np
from scipy.special import ndtr

from soiltrend.comparison.arrays import Floats


def expected_rise_below_cut(
    mean: float, sd_between: float, sd_noise: float, cut: float, reports: int = 1
) -> float:
    """Return the rise that picking every bed below ``cut`` brings by itself.

    ``E = (s_w^2/m) / sqrt(s_b^2 + s_w^2/m) * C(z)``, ``C(z) = phi(z)/(1 - Phi(z))``,
    ``z = (mean - cut)/SD`` with the SD of a mean of ``reports`` values.
    """
    noise = sd_noise**2 / reports
    spread = sqrt(sd_between**2 + noise)
    z = (mean - cut) / spread
    density = np.exp(-(z**2) / 2) / sqrt(2 * np.pi)
    return float(noise / spread * density / ndtr(-z))


def expected_rise_of_bed(mean: float, reliability: float, value: float) -> float:
    """Return ``(1 - rho)(mean - value)``: how much of this bed's distance from the mean was bad luck."""
    return (1 - reliability) * (mean - value)


def reliability(baseline: Floats, sd_noise: float, reports: int = 1) -> float:
    """Return rho, the share of the spread between beds at the baseline that is real.

    ``rho = s_b^2 / (s_b^2 + s_w^2/m)``, s_b^2 by subtraction, never below 0.
    """
    total = float(np.var(baseline, ddof=1))
    if total == 0:
        return 0.0
    return max(0.0, 1 - sd_noise**2 / reports / total)
