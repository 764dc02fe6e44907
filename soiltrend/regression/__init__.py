"""Fits on plain arrays, all series at once; nothing here knows of soil, files or words."""

from soiltrend.regression.censored import CensoredFit, fit_censored, slope_bounds
from soiltrend.regression.lines import (
    Lines,
    band,
    fit_lines,
    leave_one_out,
    moderate,
    p_values,
    scatter,
    serial_inflation,
    t_quantile,
    two_sided_p,
)
from soiltrend.regression.mann_kendall import exact_p, kendall_s, null_counts, theil_sen
from soiltrend.regression.multiplicity import benjamini_hochberg
from soiltrend.regression.pooling import pooled_noise
from soiltrend.regression.power import (
    coverage,
    detectable_delta,
    equivalence,
    equivalence_margin,
    exaggeration,
    power,
    smallest_detectable,
)
from soiltrend.regression.reference_change import log_sd, reference_change

__all__ = [
    "CensoredFit",
    "Lines",
    "band",
    "benjamini_hochberg",
    "coverage",
    "detectable_delta",
    "equivalence",
    "equivalence_margin",
    "exact_p",
    "exaggeration",
    "fit_censored",
    "fit_lines",
    "kendall_s",
    "leave_one_out",
    "log_sd",
    "moderate",
    "null_counts",
    "p_values",
    "pooled_noise",
    "power",
    "reference_change",
    "scatter",
    "serial_inflation",
    "slope_bounds",
    "smallest_detectable",
    "t_quantile",
    "theil_sen",
    "two_sided_p",
]
