"""Tone read from lightness histograms: the one definition of black, mid and white that frames and crops share.

Black and white are percentiles of L*. No standard fixes which, so they are parameters; the defaults are the darkest
2 % and the lightest 1 %, as netpbm's ``pgmnorm`` has used since 1989 (J. Poskanzer, pgmnorm(1)): small enough to be the
tone that a viewer calls black or white, large enough that a catch-light, a hot pixel or one lamp does not decide it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box, cell_cover
from setsolver.domain.measures import ToneTiles

__all__ = ["BLACK_PERCENT", "WHITE_PERCENT", "cast_of_crop", "lightness_at", "lightness_of_crop"]

BLACK_PERCENT = 2.0
"""Percentile of L* that is the black point (pgmnorm(1): darkest 2 %)."""
WHITE_PERCENT = 99.0
"""Percentile of L* that is the white point (pgmnorm(1): lightest 1 %)."""


def lightness_at(histogram: NDArray[np.floating], percents: tuple[float, ...]) -> tuple[float, ...]:
    """Return L* at percentiles of a histogram over evenly spaced bins from 0 to 100.

    Inside a bin pixels are taken as evenly spread, so a percentile is exact to a bin's width and, for smooth tones,
    much closer. Where a percentile falls between two bins, the gap's lower end counts.

    Parameters
    ----------
    histogram : floating[bins], weights >= 0 with a positive sum. percents : each 0 to 100.

    Returns
    -------
    L* for each percentile, 0 to 100.

    Raises
    ------
    ValueError
        Where the histogram holds no weight.
    """
    heights = np.asarray(histogram, dtype=np.float64)
    total = float(heights.sum())
    if not total > 0:
        raise ValueError(f"a lightness histogram needs weight to have percentiles; its sum is {total}")
    below = np.concatenate([[0.0], np.cumsum(heights)])
    inside = (_inside(heights, below, total * percent / 100.0) for percent in percents)
    return tuple(bins * 100.0 / len(heights) for bins in inside)  # 11 times an eleventh of 100 is 100.00000000000001


def _inside(heights: NDArray[np.float64], below: NDArray[np.float64], weight: float) -> float:
    """Return the position, in bins, that has ``weight`` below it."""
    index = min(int(np.searchsorted(below[1:], weight)), len(heights) - 1)
    if heights[index] <= 0:  # rounding of the running sum at the upper end, or weight 0
        index = int(np.flatnonzero(heights)[0 if weight <= 0 else -1])
    return index + min(max(0.0, (weight - float(below[index])) / float(heights[index])), 1.0)


def lightness_of_crop(tiles: ToneTiles, crop: Box) -> NDArray[np.float64]:
    """Return the lightness histogram of a crop; tiles on its border count by their covered area. float64[bins]."""
    rows = cell_cover(crop.y, crop.bottom, tiles.lightness.shape[0])
    columns = cell_cover(crop.x, crop.right, tiles.lightness.shape[1])
    histogram: NDArray[np.float64] = np.einsum("r,c,rcb->b", rows, columns, tiles.lightness.astype(np.float64))
    return histogram


def cast_of_crop(tiles: ToneTiles, crop: Box) -> tuple[float, float, float]:
    """Return mean a*, mean b* and share of a crop's near-neutral pixels; all 0 where it has none."""
    rows = cell_cover(crop.y, crop.bottom, tiles.neutral.shape[0])
    columns = cell_cover(crop.x, crop.right, tiles.neutral.shape[1])
    a, b, weight = np.einsum("r,c,rck->k", rows, columns, tiles.neutral.astype(np.float64))
    covered = float(rows.sum() * columns.sum())
    if not (weight > 0 and covered > 0):
        return 0.0, 0.0, 0.0
    return float(a / weight), float(b / weight), float(weight / covered)
