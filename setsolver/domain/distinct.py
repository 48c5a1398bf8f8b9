"""Numbers of frames, each once: rows of a catalog are many, and the numbers of its frames small."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["distinct"]

_SPARSE = 8
"""Times more numbers than rows from which counting them all costs more than sorting those that are there."""


def distinct(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return whole numbers from 0, any shape, each once and in order; what ``np.unique`` returns, mostly sooner."""
    if not numbers.size or numbers.max() > _SPARSE * numbers.size:
        return np.unique(numbers)
    return np.flatnonzero(np.bincount(numbers.ravel()))
