"""Two reports: how far they can differ when nothing changed (Fraser 2012, Clin. Chem. Lab. Med. 50:807)."""

import math


def log_sd(cv: float) -> float:
    """Return the SD on the natural-log scale of a log-normal value with coefficient of variation ``cv``."""
    return math.sqrt(math.log1p(cv * cv))


def reference_change(cv: float, factor: float) -> tuple[float, float, float]:
    """Return the reference change value of two reports as fractions: symmetric, largest rise, largest fall.

    ``cv`` is the coefficient of variation of one report, ``factor`` the quantile (1.96, or t with d0).
    Symmetric: ``factor sqrt(2) cv``; log-normal: ``exp(± factor sqrt(2) sqrt(ln(1 + cv²))) - 1``.
    """
    reach = factor * math.sqrt(2) * log_sd(cv)
    return factor * math.sqrt(2) * cv, math.expm1(reach), math.expm1(-reach)
