"""Many questions at once: the false discovery rate of Benjamini and Hochberg (1995, JRSS B 57:289-300)."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def benjamini_hochberg(p: ArrayLike) -> NDArray[np.float64]:
    """Return adjusted p values in the order given; NaN stay NaN and do not count."""
    values = np.asarray(p, dtype=float)
    adjusted = np.full(values.shape, np.nan)
    asked = np.flatnonzero(~np.isnan(values))
    if asked.size:
        falling = asked[np.argsort(-values[asked], kind="stable")]
        ranks = np.arange(falling.size, 0, -1)
        adjusted[falling] = np.minimum.accumulate(values[falling] * (falling.size / ranks)).clip(max=1.0)
    return adjusted
