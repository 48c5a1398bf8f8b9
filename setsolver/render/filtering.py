"""Compiled loops of resampling: light of codes, rows weighed and summed, columns slid."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from setsolver.render.compiled import Floats, Numbers, compiled, inlined
from setsolver.render.lanes import looked, own, put

__all__ = ["averaged", "down", "folded", "lit", "slid"]

_ZERO, _HALF, _ONE = np.float32(0), np.float32(0.5), np.float32(1)
_ROWS: Final = 8
"""Rows that are looked up together: at widths of powers of two all lie in one set of the cache, which holds no more."""
_WIDE, _NARROW = 32, 16
"""Columns that are slid together, up to a lean of 1.8 and of 3.6 degrees; half as many as the latter beyond."""


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
    sums : uint32[3 n by], n of 1 or more; filled with anything. result : as codes, [h, w, 3], filled.
    """
    height, width, _ = result.shape
    stretch = sums.size // (3 * by)
    half, count = by * by // 2, by * by
    for y in range(height):
        for first in range(0, width, stretch):
            columns = min(stretch, width - first)
            for row in range(by):
                at = 3 * ((top + y * by + row) * codes.shape[1] + left + first * by)
                if row == 0:
                    for i in range(3 * columns * by):
                        put(sums, i, np.uint32(looked(codes, at + i)))
                else:
                    for i in range(3 * columns * by):
                        put(sums, i, np.uint32(own(sums, i) + looked(codes, at + i)))
            for x in range(columns):
                for c in range(3):
                    total = half
                    for k in range(by):
                        total += sums[3 * (x * by + k) + c]
                    result[y, first + x, c] = total // count


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
    second = weights[2] if reach > 1 else _ZERO
    for y in range(top, bottom):
        at, far = y * width, min(2, reach) * step
        for x in range(at + left, at + right):
            one = looked(source, x - step) + looked(source, x + step)
            two = looked(source, x - far) + looked(source, x + far)
            put(result, x, weights[0] * looked(source, x) + (weights[1] * one + second * two))
        for k in range(3, reach + 1, 2):
            near, far = k * step, min(k + 1, reach) * step
            a, b = weights[k], weights[k + 1] if k < reach else _ZERO
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


@inlined
def _pair(parts: Floats, k: Any, g: Any) -> Any:
    """Return the weights of the taps k from either end, of a place g = fraction of a pixel - 1/2 after the middle."""
    at, s = 8 * k, g * g
    even = looked(parts, at + 2) + s * looked(parts, at + 3)
    even = looked(parts, at) + s * (looked(parts, at + 1) + s * even)
    odd = looked(parts, at + 6) + s * looked(parts, at + 7)
    odd = g * (looked(parts, at + 4) + s * (looked(parts, at + 5) + s * odd))
    return even + odd, even - odd


@inlined
def _row(row: int, height: int, width: int) -> int:
    """Return where a row of a plane begins; beyond its rows the nearest counts."""
    return min(max(row, 0), height - 1) * width


@compiled
def slid(source: Floats, start: float, step: float, lean: float, parts: Floats, result: Floats) -> None:
    """Resample each column, from places that move on: start + step j + lean i for row j and column i.

    Strips of columns along which places cross from one row to the next at most once are worked out together, many
    pixels at once: each looks at a row more than it has taps, with weight zero at one end. How many columns a strip
    has is known to the compiler up to a lean of 3.6 degrees: then what all its rows need stays in registers.

    Parameters
    ----------
    source : float32[3, h, n], n of w or more; places are in its pixels, centres at whole numbers; beyond its rows the
    nearest count.
    parts : float32[pairs, 8], three pairs or more, the outermost first: of each pair of taps the even and the odd part
    of its weights by the fraction of a pixel, as polynomials (``_pair``); all weights of a place sum up to 1.
    result : float32[3, rows, w], filled.
    """
    width = result.shape[2]
    most = width if lean == 0 else max(1, min(width, int(1 / abs(lean))))
    if most >= _WIDE:
        _strips(source, (start, step, lean), parts, result, _WIDE)
    elif most >= _NARROW:
        _strips(source, (start, step, lean), parts, result, _NARROW)
    else:
        _strips(source, (start, step, lean), parts, result, min(most, _NARROW // 2))


@inlined
def _strips(source: Any, places: Any, parts: Any, result: Any, columns: Any) -> None:
    """Resample all columns, so many at a time; the last ones lie over those before."""
    width, (start, step, lean) = result.shape[2], places
    for at in range(0, width, columns):
        left = min(at, width - columns)
        _strip(source, (start + lean * left, step, lean), parts, result, left, columns)


@inlined
def _strip(source: Any, places: Any, parts: Any, result: Any, left: Any, columns: Any) -> None:
    """Resample columns from ``left`` on; places : of the first row of the first of them, step and lean."""
    start, step, lean = places
    _, height, pitch = source.shape
    _, rows, width = result.shape
    pairs, slope, least = parts.shape[0], np.float32(lean), min(0.0, lean * (columns - 1))
    size, more, inner = height * pitch, rows * width, pairs - 3
    for j in range(rows):
        out, first = j * width + left, start + step * j
        top = int(np.floor(first + least))
        offset = np.float32(first - top)
        r0, r1, r2 = _row(top - 2, height, pitch), _row(top - 1, height, pitch), _row(top, height, pitch)
        r3, r4, r5 = _row(top + 1, height, pitch), _row(top + 2, height, pitch), _row(top + 3, height, pitch)
        rows_7 = left + r0, left + r1, left + r2, left + r3, left + r4, left + r5, left + _row(top + 4, height, pitch)
        for x in range(columns):
            place = offset + slope * np.float32(x)
            low = place < _ONE
            g = place - _HALF if low else place - _ONE - _HALF
            (w0, w5), (w1, w4) = _pair(parts, inner, g), _pair(parts, inner + 1, g)
            w2, w3 = _pair(parts, inner + 2, g)
            v0, v1, v2, v3 = w0 if low else _ZERO, w1 if low else w0, w2 if low else w1, w3 if low else w2
            weights = v0, v1, v2, v3, w4 if low else w3, w5 if low else w4, _ZERO if low else w5
            put(result, out + x, _of_seven(source, rows_7, x, weights))
            put(result, more + out + x, _of_seven(source, rows_7, size + x, weights))
            put(result, 2 * more + out + x, _of_seven(source, rows_7, 2 * size + x, weights))
        for k in range(inner):
            r0, r1 = _row(top + 1 - pairs + k, height, pitch), _row(top + 2 - pairs + k, height, pitch)
            r2, r3 = _row(top + pairs - k, height, pitch), _row(top + pairs + 1 - k, height, pitch)
            rows_4 = left + r0, left + r1, left + r2, left + r3
            for x in range(columns):
                place = offset + slope * np.float32(x)
                low = place < _ONE
                w0, w1 = _pair(parts, k, place - _HALF if low else place - _ONE - _HALF)
                ends = w0 if low else _ZERO, _ZERO if low else w0, w1 if low else _ZERO, _ZERO if low else w1
                red, green, blue = own(result, out + x), own(result, more + out + x), own(result, 2 * more + out + x)
                put(result, out + x, red + _of_four(source, rows_4, x, ends))
                put(result, more + out + x, green + _of_four(source, rows_4, size + x, ends))
                put(result, 2 * more + out + x, blue + _of_four(source, rows_4, 2 * size + x, ends))


@inlined
def _of_four(source: Floats, rows: Numbers, x: int, weights: Numbers) -> Any:
    """Return four rows at a place, weighed and summed."""
    (r0, r1, r2, r3), (w0, w1, w2, w3) = rows, weights
    first = w0 * looked(source, r0 + x) + w1 * looked(source, r1 + x)
    return first + (w2 * looked(source, r2 + x) + w3 * looked(source, r3 + x))


@inlined
def _of_seven(source: Floats, rows: Numbers, x: int, weights: Numbers) -> Any:
    """Return seven rows at a place, weighed and summed."""
    (r0, r1, r2, r3, r4, r5, r6), (w0, w1, w2, w3, w4, w5, w6) = rows, weights
    first = w0 * looked(source, r0 + x) + w1 * looked(source, r1 + x) + w2 * looked(source, r2 + x)
    last = w4 * looked(source, r4 + x) + w5 * looked(source, r5 + x) + w6 * looked(source, r6 + x)
    return first + w3 * looked(source, r3 + x) + last
