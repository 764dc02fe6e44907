"""Partial pooling: how far beds really differ, and each bed drawn towards the others accordingly."""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from soiltrend.comparison.arrays import Floats


@dataclass(frozen=True, slots=True)
class Pooled:
    """Random-effects summary of ``m`` bed slopes.

    ``mean`` with ``se`` (Hartung-Knapp-Sidik-Jonkman) and ``m - 1`` degrees of freedom; ``tau2`` the
    variance of true slopes (Paule-Mandel), ``tau2_high`` its 97.5 % limit (Q profile); ``slopes`` and
    ``slope_se`` each bed drawn towards the mean.
    """

    mean: float
    se: float
    tau2: float
    tau2_high: float
    slopes: Floats
    slope_se: Floats

    def interval(self, level: float) -> tuple[float, float]:
        """Return the interval of the mean slope."""
        half = float(stdtrit(len(self.slopes) - 1, 0.5 + level / 2)) * self.se
        return self.mean - half, self.mean + half


def pool(slopes: Floats, variances: Floats) -> Pooled:
    """Pool slopes with known sampling variances by statsmodels' ``combine_effects``.

    ``b* = (b/v + mean/tau2) / (1/v + 1/tau2)``; the error of a drawn-in slope counts that of the mean.
    """
    from statsmodels.stats.meta_analysis import combine_effects

    found = combine_effects(slopes, variances, method_re="iterated")
    mean, tau2 = float(found.mean_effect_re), max(float(found.tau2), 0.0)
    se = float(found.sd_eff_w_re_hksj)
    share = tau2 / (tau2 + variances)
    drawn = mean + share * (slopes - mean)
    error = np.sqrt(tau2 * (1 - share) + (1 - share) ** 2 * se**2)
    return Pooled(mean, se, tau2, _highest_tau2(slopes, variances), drawn, error)


def _spread(tau2: float, slopes: Floats, variances: Floats) -> float:
    """Return Cochran's Q with weights that include ``tau2``."""
    weights = 1 / (variances + tau2)
    mean = float(weights @ slopes / weights.sum())
    return float(weights @ (slopes - mean) ** 2)


def _highest_tau2(slopes: Floats, variances: Floats) -> float:
    """Solve Q(tau2) = the 2.5 % point of chi-squared (Viechtbauer 2007, Q-profile upper limit)."""
    from scipy.optimize import brentq
    from scipy.special import chdtri

    target = float(chdtri(len(slopes) - 1, 0.975))
    if _spread(0.0, slopes, variances) <= target:
        return 0.0
    high = float(np.var(slopes) + variances.max())
    while _spread(high, slopes, variances) > target:
        high *= 2
    return float(brentq(lambda tau2: _spread(tau2, slopes, variances) - target, 0.0, high))
