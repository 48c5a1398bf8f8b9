"""Percentiles of a few thousand numbers, many of which are asked for of every frame."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["median", "percentile"]


def percentile(values: NDArray[np.floating], percent: float) -> Any:
    """Return ``np.percentile(values, percent)`` of all of an array, to NumPy 2.4's last bit, as a scalar of its type.

    NumPy's own is made for any number of percentiles, axes and ways to interpolate, and takes three times as long.

    Parameters
    ----------
    values : floating, at least one, none of them NaN. percent : 0 to 100.
    """
    flat = values.ravel()
    at = (flat.size - 1) * (percent / 100)
    first = int(at)
    second, share = min(first + 1, flat.size - 1), at - first
    parted = np.partition(flat, (first, second))
    low, high = parted[first], parted[second]
    step = high - low
    return high - step * (1 - share) if share >= 0.5 else low + step * share


def median(values: NDArray[np.floating]) -> Any:
    """Return ``np.median(values)`` of all of an array, likewise."""
    flat = values.ravel()
    first, second = (flat.size - 1) // 2, flat.size // 2
    parted = np.partition(flat, (first, second))
    return (parted[first] + parted[second]) / 2 if second > first else parted[first]
