"""Compiled loops of resampling: light of codes, pixels averaged, rows weighed and summed, rows turned into columns."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from setsolver.render.compiled import Floats, Numbers, compiled, inlined
from setsolver.render.lanes import SQUARE, between, looked, own, put, turn

__all__ = ["averaged", "down", "folded", "lit", "transposed"]

_ZERO = np.float32(0)
_ROWS: Final = 8
"""Rows that are looked up together: at widths of powers of two all lie in one set of the cache, which holds no more."""


@compiled
def lit(codes: NDArray[Any], top: int, left: int, rows: int, table: Floats, result: Floats) -> None:
    """Look up light by code; rows become columns, so that what is resampled first runs along rows.

    Some rows at a time: what is read of each, and what is written, stays in the processor's nearest cache.

    Parameters
    ----------
    codes : uint8 or uint16[H, W, 3], C-contiguous; from row ``top`` and column ``left`` on they are looked up.
    table : float32[3, levels].
    result : float32[3, columns, n], n of ``rows`` or more; filled but for what lies beyond ``rows``.
    """
    _, columns, pitch = result.shape
    size, levels, width = columns * pitch, table.shape[1], codes.shape[1]
    whole = rows - rows % _ROWS
    for y in range(0, whole, _ROWS):
        for x in range(columns):
            for k in range(_ROWS):
                _look_up(codes, 3 * ((top + y + k) * width + left + x), table, levels, result, x * pitch + y + k, size)
    for y in range(whole, rows):
        for x in range(columns):
            _look_up(codes, 3 * ((top + y) * width + left + x), table, levels, result, x * pitch + y, size)


@inlined
def _look_up(codes: Any, at: Any, table: Any, levels: Any, result: Any, out: Any, size: Any) -> None:
    """Look up the three channels of one pixel."""
    put(result, out, looked(table, np.int64(looked(codes, at))))
    put(result, size + out, looked(table, levels + np.int64(looked(codes, at + 1))))
    put(result, 2 * size + out, looked(table, 2 * levels + np.int64(looked(codes, at + 2))))


@compiled
def averaged(codes: NDArray[Any], top: int, left: int, by: int, sums: NDArray[Any], result: NDArray[Any]) -> None:
    """Average squares of ``by`` pixels, rounded to the nearest code (halves up).

    Parameters
    ----------
    codes : uint8 or uint16[H, W, 3], C-contiguous; from row ``top`` and column ``left`` on they are averaged.
    by : 2 or more. sums : uint32[3 n by], n of 1 or more; filled with anything. result : as codes, [h, w, 3], filled.
    """
    height, width, _ = result.shape
    stretch, pitch = sums.size // (3 * by), 3 * codes.shape[1]
    half, share = by * by // 2 + 0.5, 1 / (by * by)  # from the middle between two codes, so that no rounding matters
    for y in range(height):
        for first in range(0, width, stretch):
            columns = min(stretch, width - first)
            size, at = 3 * columns * by, (top + y * by) * pitch + 3 * (left + first * by)
            for i in range(size):
                put(sums, i, np.uint32(looked(codes, at + i)) + np.uint32(looked(codes, at + pitch + i)))
            for row in range(2, by - by % 2, 2):
                one, two = at + row * pitch, at + (row + 1) * pitch
                for i in range(size):
                    put(sums, i, own(sums, i) + np.uint32(looked(codes, one + i)) + np.uint32(looked(codes, two + i)))
            if by % 2:
                one = at + (by - 1) * pitch
                for i in range(size):
                    put(sums, i, own(sums, i) + np.uint32(looked(codes, one + i)))
            between()
            for x in range(columns):
                red = green = blue = np.uint32(0)
                for k in range(3 * x * by, 3 * (x + 1) * by, 3):
                    red += looked(sums, k)
                    green += looked(sums, k + 1)
                    blue += looked(sums, k + 2)
                out = 3 * (y * width + first + x)
                put(result, out, np.int32((red + half) * share))
                put(result, out + 1, np.int32((green + half) * share))
                put(result, out + 2, np.int32((blue + half) * share))
            between()


@compiled
def folded(source: Floats, weights: Floats, step: int, inner: Numbers, result: Floats) -> None:
    """Fold with a kernel that is the same on both sides: result = sum of weights[k] x (what lies k to either side).

    Parameters
    ----------
    source, result : float32[h, w]. weights : float32[n], n of 2 or more; the first is that of the middle.
    step : 1 along rows, w along columns. inner : first and last (exclusive) row and column to fill.
    """
    width, reach = source.shape[1], weights.size - 1
    top, bottom, left, right = inner
    odd = reach > 2 and reach % 2 == 1  # three to either side first, so that all others come in pairs
    second, third = weights[2] if reach > 1 else _ZERO, weights[3] if odd else _ZERO
    for y in range(top, bottom):
        at, far, farther = y * width, min(2, reach) * step, 3 * step
        if odd:
            for x in range(at + left, at + right):
                one = looked(source, x - step) + looked(source, x + step)
                two = looked(source, x - far) + looked(source, x + far)
                three = looked(source, x - farther) + looked(source, x + farther)
                put(result, x, weights[0] * looked(source, x) + (weights[1] * one + second * two) + third * three)
        else:
            for x in range(at + left, at + right):
                one = looked(source, x - step) + looked(source, x + step)
                two = looked(source, x - far) + looked(source, x + far)
                put(result, x, weights[0] * looked(source, x) + (weights[1] * one + second * two))
        for k in range(4 if odd else 3, reach + 1, 2):
            near, far = k * step, (k + 1) * step
            a, b = weights[k], weights[k + 1]
            for x in range(at + left, at + right):
                one = looked(source, x - near) + looked(source, x + near)
                two = looked(source, x - far) + looked(source, x + far)
                put(result, x, own(result, x) + (a * one + b * two))


@compiled
def down(source: Floats, first: NDArray[Any], weights: Floats, result: Floats) -> None:
    """Resample rows: result[c, i] = sum of weights[i, k] x source[c, first[i] + k].

    source : float32[3, h, n], n of w or more. first : int64[rows]. weights : float32[rows, taps], of an even number of
    taps, 6 or more.
    result : float32[3, rows, w], filled.
    """
    _, height, pitch = source.shape
    (rows, taps), width = weights.shape, result.shape[2]
    for c in range(3):
        for i in range(rows):
            at, start = (c * rows + i) * width, (c * height + first[i]) * pitch
            one, two, three = start, start + pitch, start + 2 * pitch
            four, five, six = start + 3 * pitch, start + 4 * pitch, start + 5 * pitch
            a, b, d = weights[i, 0], weights[i, 1], weights[i, 2]
            e, f, g = weights[i, 3], weights[i, 4], weights[i, 5]
            for x in range(width):
                nearer = a * looked(source, one + x) + b * looked(source, two + x) + d * looked(source, three + x)
                other = e * looked(source, four + x) + f * looked(source, five + x) + g * looked(source, six + x)
                put(result, at + x, nearer + other)
            for k in range(6, taps, 2):
                one, two = start + k * pitch, start + (k + 1) * pitch
                a, b = weights[i, k], weights[i, k + 1]
                for x in range(width):
                    more = a * looked(source, one + x) + b * looked(source, two + x)
                    put(result, at + x, own(result, at + x) + more)


@compiled
def transposed(source: Floats, rows: int, result: Floats) -> None:
    """Exchange rows and columns: result[c, y, x] = source[c, x, y] of y below ``rows``; the rest is left alone.

    source : float32[3, w, n], n of ``rows`` or more. result : float32[3, h, m], h of ``rows`` and m of w or more.
    """
    _, columns, pitch = source.shape
    _, height, width = result.shape
    whole = rows >= SQUARE and columns >= SQUARE
    for c in range(3):
        if not whole:
            for y in range(rows):
                for x in range(columns):
                    result[c, y, x] = source[c, x, y]
            continue
        for y in range(0, rows, SQUARE):
            top = min(y, rows - SQUARE)  # the last ones lie over those before
            for x in range(0, columns, SQUARE):
                left = min(x, columns - SQUARE)
                turn(
                    source, (c * columns + left) * pitch + top, pitch, result, (c * height + top) * width + left, width
                )
