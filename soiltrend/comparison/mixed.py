"""A mixed model as second opinion on the difference of slopes."""

import warnings
from dataclasses import dataclass

import numpy as np

from soiltrend.comparison.arrays import Flags, Floats, Labels, dummies

WEAKNESS = (
    "A Wald z test: statsmodels has no Kenward-Roger or Satterthwaite degrees of freedom, "
    "so with few beds this p value is too small."
)


@dataclass(frozen=True, slots=True)
class SecondOpinion:
    """What the mixed model finds. ``singular`` says that a variance was estimated as zero."""

    difference: float
    se: float
    p_value: float
    singular: bool
    weakness: str = WEAKNESS


def second_opinion(
    values: Floats, years: Floats, bed: Labels, visit: Labels, treated: Flags
) -> SecondOpinion | None:
    """Fit value ~ visit + treated + treated:year with a random line for each bed (REML).

    Arrays hold one entry per report. Returns None where the optimiser fails: then there is no second
    opinion, rather than a doubtful one.
    """
    centred = years - years.mean()
    fixed = np.column_stack([dummies(visit), treated, treated * centred]).astype(np.float64)
    fitted = _fit(values, fixed, np.column_stack([np.ones(len(years)), centred]), bed)
    if fitted is None:
        return None
    difference, se, smallest = fitted
    from scipy.special import ndtr

    return SecondOpinion(difference, se, float(2 * ndtr(-abs(difference / se))), smallest < 1e-8)


def _fit(values: Floats, fixed: Floats, random: Floats, bed: Labels) -> tuple[float, float, float] | None:
    """Return the last fixed effect, its standard error and the smallest relative random variance."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    scale = float(np.std(values)) or 1.0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a singular fit is reported as such, not as a warning
        try:
            # Powell's search needs no gradient: at a variance of zero, the rule here, the others stop early.
            found = MixedLM(values / scale, fixed, groups=bed, exog_re=random).fit(reml=True, method="powell")
        except (np.linalg.LinAlgError, ValueError):
            return None
        estimate, se = float(found.fe_params[-1]) * scale, float(found.bse_fe[-1]) * scale
        smallest = float(np.linalg.eigvalsh(np.asarray(found.cov_re)).min() / found.scale)
    return (estimate, se, smallest) if np.isfinite(se) and se > 0 else None
