"""Compiled loops of resampling: light of codes, rows weighed and summed, columns slid."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from setsolver.render.compiled import Floats, compiled
from setsolver.render.lanes import looked, own, put

__all__ = ["down", "lit", "slid"]

_ZERO = np.float32(0)


@compiled
def lit(codes: NDArray[Any], table: Floats, result: Floats) -> None:
    """Look up light by code; codes : [h, w, 3]. table : float32[3, levels]. result : float32[3, h, w], filled."""
    size, levels = codes.shape[0] * codes.shape[1], table.shape[1]
    for i in range(size):
        put(result, i, looked(table, np.int64(looked(codes, 3 * i))))
        put(result, size + i, looked(table, levels + np.int64(looked(codes, 3 * i + 1))))
        put(result, 2 * size + i, looked(table, 2 * levels + np.int64(looked(codes, 3 * i + 2))))


@compiled
def down(source: Floats, first: NDArray[Any], weights: Floats, result: Floats) -> None:
    """Resample rows: result[c, i] = sum of weights[i, k] x source[c, first[i] + k].

    source : float32[3, h, w]. first : int64[rows]. weights : float32[rows, taps]. result : float32[3, rows, w], filled.
    """
    _, height, width = source.shape
    rows, taps = weights.shape
    for c in range(3):
        for i in range(rows):
            at, start = (c * rows + i) * width, (c * height + first[i]) * width
            for x in range(width):
                put(result, at + x, weights[i, 0] * looked(source, start + x))
            for k in range(1, taps):
                start += width
                for x in range(width):
                    put(result, at + x, own(result, at + x) + weights[i, k] * looked(source, start + x))


@compiled
def slid(
    source: Floats, start: float, step: float, lean: float, table: Floats, place: NDArray[Any], result: Floats
) -> None:
    """Resample each column, from places that move on: start + step j + lean i for row j and column i.

    Parameters
    ----------
    source : float32[3, h, w]; places are in its pixels, centres at whole numbers; beyond its rows the nearest count.
    table : float32[taps + 1, 2 phases]: the weights of a place a fraction of a pixel (0 to 2) after the tap in the
    middle, summing up to 1; so that pixels side by side whose places lie on two rows are worked out together.
    place : int32[w], room for numbers. result : float32[3, rows, w], filled.
    """
    _, height, width = source.shape
    rows = result.shape[1]
    size, more = height * width, rows * width
    taps, phases = table.shape[0], table.shape[1] // 2
    before, last = taps // 2 - 1, np.float32(2 * phases - 1)
    block = width if lean == 0 else max(1, min(width, int(1 / abs(lean))))
    if block > 16:
        block -= block % 16
    for j in range(rows):
        for left in range(0, width, block):
            right = min(width, left + block)
            one, other = start + step * j + lean * left, start + step * j + lean * (right - 1)
            top = int(np.floor(min(one, other)))
            offset, slope = np.float32((start + step * j - top) * phases), np.float32(lean * phases)
            for x in range(left, right):
                put(place, x, np.int32(min(max(offset + slope * np.float32(x), _ZERO), last)))
            for k in range(taps):
                row = min(max(top - before + k, 0), height - 1)
                weights, at, out = k * 2 * phases, row * width, j * width
                if k == 0:
                    for x in range(left, right):
                        weight = looked(table, weights + own(place, x))
                        put(result, out + x, weight * looked(source, at + x))
                        put(result, more + out + x, weight * looked(source, size + at + x))
                        put(result, 2 * more + out + x, weight * looked(source, 2 * size + at + x))
                else:
                    for x in range(left, right):
                        weight = looked(table, weights + own(place, x))
                        red, green, blue = (
                            own(result, out + x),
                            own(result, more + out + x),
                            own(result, 2 * more + out + x),
                        )
                        put(result, out + x, red + weight * looked(source, at + x))
                        put(result, more + out + x, green + weight * looked(source, size + at + x))
                        put(result, 2 * more + out + x, blue + weight * looked(source, 2 * size + at + x))
