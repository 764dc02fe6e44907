"""Array types of this room."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Labels = NDArray[np.int64]
Flags = NDArray[np.bool_]


def dummies(labels: Labels) -> Floats:
    """Return one 0/1 column for each distinct label, in the order of ``np.unique``."""
    _, index = np.unique(labels, return_inverse=True)
    return np.eye(int(index.max()) + 1, dtype=np.float64)[index]
