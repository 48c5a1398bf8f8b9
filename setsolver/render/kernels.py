"""Compiled loops of resampling. Plain arrays in, an array of the caller's filled; nothing is allocated here.

They are compiled anew in each process, in about a second, because no folder need be writable for a print.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import numba
from numpy.typing import NDArray

__all__ = ["across", "down", "gathered"]

Function = TypeVar("Function", bound=Callable[..., Any])
Floats = NDArray[Any]
_FLOATS = {"reassoc", "contract", "nsz"}


def _compiled(function: Function) -> Function:
    """Compile without the GIL, so that tiles are resampled side by side; sums may be reordered."""
    compiled: Function = numba.njit(nogil=True, error_model="numpy", fastmath=_FLOATS)(function)
    return compiled


@_compiled
def down(source: Floats, first: NDArray[Any], weights: Floats, result: Floats) -> None:
    """Resample rows: result[i] = sum of weights[i, k] x source[first[i] + k]; float32[rows, columns]."""
    for i in range(result.shape[0]):
        for x in range(result.shape[1]):
            result[i, x] = 0.0
        for k in range(weights.shape[1]):
            weight = weights[i, k]
            row = first[i] + k
            for x in range(result.shape[1]):
                result[i, x] += weight * source[row, x]


@_compiled
def across(source: Floats, first: NDArray[Any], weights: Floats, result: Floats) -> None:
    """Resample columns of three channels: as ``down`` along the second axis; float32[rows, columns, 3]."""
    for y in range(result.shape[0]):
        for i in range(result.shape[1]):
            red = weights[i, 0] * 0
            green = red
            blue = red
            for k in range(weights.shape[1]):
                weight = weights[i, k]
                column = first[i] + k
                red += weight * source[y, column, 0]
                green += weight * source[y, column, 1]
                blue += weight * source[y, column, 2]
            result[y, i, 0] = red
            result[y, i, 1] = green
            result[y, i, 2] = blue


@_compiled
def gathered(  # noqa: PLR0913, PLR0917 - a compiled kernel takes flat arrays
    source: Floats,
    x0: float,
    y0: float,
    steps: Floats,
    taps: NDArray[Any],
    table_x: Floats,
    table_y: Floats,
    result: Floats,
) -> None:
    """Resample a turned grid: each pixel is a sum over the source pixels about its place.

    Parameters
    ----------
    source : float32[h, w, 3]. x0, y0 : place of the first pixel, in the source's pixels, centres at whole numbers.
    steps : float64[2, 2], the step in (x, y) from column to column and from row to row.
    taps : int64[2], pixels of the source that count along x and y.
    table_x, table_y : float32[phases, taps], weights for each fraction of a pixel, summing up to 1.
    result : float32[rows, columns, 3].
    """
    phases = table_x.shape[0]
    across_x, across_y, down_x, down_y = steps[0, 0], steps[0, 1], steps[1, 0], steps[1, 1]
    for i in range(result.shape[0]):
        for j in range(result.shape[1]):
            x = x0 + j * across_x + i * down_x
            y = y0 + j * across_y + i * down_y
            column = int(x)
            row = int(y)
            px = int((x - column) * phases)
            py = int((y - row) * phases)
            column -= taps[0] // 2 - 1
            row -= taps[1] // 2 - 1
            red = table_x[0, 0] * 0
            green = red
            blue = red
            for m in range(taps[1]):
                weight_y = table_y[py, m]
                for n in range(taps[0]):
                    weight = weight_y * table_x[px, n]
                    red += weight * source[row + m, column + n, 0]
                    green += weight * source[row + m, column + n, 1]
                    blue += weight * source[row + m, column + n, 2]
            result[i, j, 0] = red
            result[i, j, 1] = green
            result[i, j, 2] = blue
