"""Compiled loops of levelled prints: columns slid, each by its own fraction of a pixel."""

from __future__ import annotations

from typing import Any

import numpy as np

from setsolver.render.compiled import Floats, Numbers, compiled, inlined
from setsolver.render.lanes import looked, own, put

__all__ = ["slid"]

_ZERO, _HALF, _ONE, _TWO = np.float32(0), np.float32(0.5), np.float32(1), np.float32(2)
_WIDE, _NARROW, _FEW = 32, 16, 8
"""Columns that are slid together: up to a lean of 1.8 degrees, up to one of 7.6, and, at most, beyond."""


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
def _row(row: int, plane: Any) -> Any:
    """Return where a row of a plane begins, from a column on; beyond its rows the nearest counts.

    plane : its height, its width and the column.
    """
    height, width, left = plane
    return min(max(row, 0), height - 1) * width + left


@inlined
def _four_rows(row: int, plane: Any) -> Numbers:
    """Return where four rows begin, the first and those that follow."""
    return _row(row, plane), _row(row + 1, plane), _row(row + 2, plane), _row(row + 3, plane)


@inlined
def _head(source: Any, places: Any, parts: Any, columns: Any, left: Any) -> Any:
    """Return what all rows of a strip need: slope, the least that a place lies before its row's first, plane, pairs."""
    lean = places[2]
    pairs = parts.shape[0]
    plane = source.shape[1], source.shape[2], left
    return np.float32(lean), min(0.0, lean * (columns - 1)), plane, pairs, pairs - 3


@inlined
def _above(j: Any, places: Any, least: Any) -> Any:
    """Return the row above all places of row j of a strip, and how far below it the first of them lies."""
    first = places[0] + places[1] * j
    top = int(np.floor(first + least))
    return top, np.float32(first - top)


@compiled
def slid(source: Floats, start: float, step: float, lean: float, parts: Floats, result: Floats) -> None:
    """Resample each column, from places that move on: start + step j + lean i for row j and column i.

    Strips of columns along which places cross from one row to the next at most once, or twice, are worked out together,
    many pixels at once: each looks at a row or two more than it has taps, with weight zero at the ends. How many
    columns a strip has is known to the compiler up to a lean of 7.6 degrees: then what all its rows need stays in
    registers.

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
        _strips(source, (start, step, lean), parts, result, _WIDE, False)  # noqa: FBT003
    elif most >= _NARROW:
        _strips(source, (start, step, lean), parts, result, _NARROW, False)  # noqa: FBT003
    elif width >= _NARROW and abs(lean) * (_NARROW - 1) <= _TWO:
        _strips(source, (start, step, lean), parts, result, _NARROW, True)  # noqa: FBT003
    else:
        _strips(source, (start, step, lean), parts, result, min(most, _FEW), False)  # noqa: FBT003


@inlined
def _strips(source: Any, places: Any, parts: Any, result: Any, columns: Any, steep: Any) -> None:
    """Resample all columns, so many at a time; the last ones lie over those before. steep : they may cross two rows."""
    width, (start, step, lean) = result.shape[2], places
    for at in range(0, width, columns):
        left = min(at, width - columns)
        if steep:
            _steep_strip(source, (start + lean * left, step, lean), parts, result, left, columns)
        else:
            _strip(source, (start + lean * left, step, lean), parts, result, left, columns)


@inlined
def _strip(source: Any, places: Any, parts: Any, result: Any, left: Any, columns: Any) -> None:
    """Resample columns from ``left`` on; places : of the first row of the first of them, step and lean."""
    slope, least, plane, pairs, inner = _head(source, places, parts, columns, left)
    _, rows, width = result.shape
    size, more = source.shape[1] * source.shape[2], rows * width
    for j in range(rows):
        out, (top, offset) = j * width + left, _above(j, places, least)
        (r0, r1, r2, r3), (r4, r5, r6, _) = _four_rows(top - 2, plane), _four_rows(top + 2, plane)
        rows_7 = r0, r1, r2, r3, r4, r5, r6
        for x in range(columns):
            place = offset + slope * np.float32(x)
            low = place < _ONE
            g = place - _HALF if low else place - _ONE - _HALF
            (w0, w5), (w1, w4) = _pair(parts, inner, g), _pair(parts, inner + 1, g)
            w2, w3 = _pair(parts, inner + 2, g)
            weights = _moved(low, (w0, w1, w2, w3, w4, w5))
            put(result, out + x, _of_seven(source, rows_7, x, weights))
            put(result, more + out + x, _of_seven(source, rows_7, size + x, weights))
            put(result, 2 * more + out + x, _of_seven(source, rows_7, 2 * size + x, weights))
        for k in range(inner):
            r0, r1 = _row(top + 1 - pairs + k, plane), _row(top + 2 - pairs + k, plane)
            rows_4 = r0, r1, _row(top + pairs - k, plane), _row(top + pairs + 1 - k, plane)
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
def _steep_strip(source: Any, places: Any, parts: Any, result: Any, left: Any, columns: Any) -> None:
    """Resample columns as ``_strip`` does; along them places may cross two rows."""
    slope, least, plane, pairs, inner = _head(source, places, parts, columns, left)
    _, rows, width = result.shape
    size, more = source.shape[1] * source.shape[2], rows * width
    for j in range(rows):
        out, (top, offset) = j * width + left, _above(j, places, least)
        rows_4, others = _four_rows(top - 2, plane), _four_rows(top + 2, plane)
        for x in range(columns):
            place = offset + slope * np.float32(x)
            low, high = place < _ONE, place >= _TWO
            g = _fraction(place, low, high)
            (w0, w5), (w1, w4) = _pair(parts, inner, g), _pair(parts, inner + 1, g)
            w2, w3 = _pair(parts, inner + 2, g)
            v0, v1, v2, v3, v4, v5, v6 = _moved(low, (w0, w1, w2, w3, w4, w5))
            near = _ZERO if high else v0, v0 if high else v1, v1 if high else v2, v2 if high else v3
            far = v3 if high else v4, v4 if high else v5, v5 if high else v6, v6 if high else _ZERO
            red, green, blue = x, size + x, 2 * size + x
            put(result, out + x, _of_four(source, rows_4, red, near) + _of_four(source, others, red, far))
            put(result, more + out + x, _of_four(source, rows_4, green, near) + _of_four(source, others, green, far))
            put(result, 2 * more + out + x, _of_four(source, rows_4, blue, near) + _of_four(source, others, blue, far))
        for k in range(inner):
            before, after = _four_rows(top + 1 - pairs + k, plane)[:3], _four_rows(top + pairs - k, plane)[:3]
            for x in range(columns):
                place = offset + slope * np.float32(x)
                low, high = place < _ONE, place >= _TWO
                w0, w1 = _pair(parts, k, _fraction(place, low, high))
                ends = _at(low, high, w0), _at(low, high, w1)
                red, green, blue = own(result, out + x), own(result, more + out + x), own(result, 2 * more + out + x)
                put(result, out + x, red + _of_six(source, before, after, x, ends))
                put(result, more + out + x, green + _of_six(source, before, after, size + x, ends))
                put(result, 2 * more + out + x, blue + _of_six(source, before, after, 2 * size + x, ends))


@inlined
def _fraction(place: Any, low: Any, high: Any) -> Any:
    """Return the fraction of a pixel - 1/2 of a place from 0 to 3: below 1, of 2 or more, or between."""
    return place - (_HALF if low else _TWO + _HALF if high else _ONE + _HALF)


@inlined
def _moved(low: Any, weights: Numbers) -> Any:
    """Return six weights for seven rows: from the first row on, or from the second."""
    w0, w1, w2, w3, w4, w5 = weights
    v0, v1, v2 = w0 if low else _ZERO, w1 if low else w0, w2 if low else w1
    return v0, v1, v2, w3 if low else w2, w4 if low else w3, w5 if low else w4, _ZERO if low else w5


@inlined
def _at(low: Any, high: Any, weight: Any) -> Any:
    """Return a weight for three rows: on the first, the last or between."""
    middle = _ZERO if high else weight
    return weight if low else _ZERO, _ZERO if low else middle, weight if high else _ZERO


@inlined
def _of_six(source: Floats, before: Numbers, after: Numbers, x: int, weights: Numbers) -> Any:
    """Return twice three rows at a place, weighed and summed."""
    (r0, r1, r2), (r3, r4, r5), ((w0, w1, w2), (w3, w4, w5)) = before, after, weights
    first = w0 * looked(source, r0 + x) + w1 * looked(source, r1 + x) + w2 * looked(source, r2 + x)
    return first + (w3 * looked(source, r3 + x) + w4 * looked(source, r4 + x) + w5 * looked(source, r5 + x))


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
