"""Compiled loops over pixels: resampling, tone, codes. They fill arrays of the caller and allocate nothing.

They are compiled anew in each process, in about a second, because no folder need be writable for a print.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import numba
import numpy as np
from numpy.typing import NDArray

__all__ = ["across", "coded", "down", "graded", "leaned", "settled", "stepped"]

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
def leaned(source: Floats, start: float, step: float, lean: float, table: Floats, result: Floats) -> None:
    """Resample each row of three channels, from places that move on from row to row.

    Parameters
    ----------
    source : float32[h, w, 3]. start, step, lean : the place in row v of the result's column i is start + step i +
    lean v, in the source's pixels, centres at whole numbers. table : float32[phases, taps], weights for each
    fraction of a pixel, summing up to 1. result : float32[h, columns, 3]; places beyond the row take the nearest pixels
    that there are.
    """
    phases, taps = table.shape
    before, last = taps // 2 - 1, source.shape[1] - taps
    for v in range(result.shape[0]):
        for i in range(result.shape[1]):
            x = start + i * step + v * lean
            column = int(np.floor(x))
            phase = int((x - column) * phases)
            column = min(max(column - before, 0), last)
            red = table[0, 0] * 0
            green = red
            blue = red
            for k in range(taps):
                weight = table[phase, k]
                red += weight * source[v, column + k, 0]
                green += weight * source[v, column + k, 1]
                blue += weight * source[v, column + k, 2]
            result[v, i, 0] = red
            result[v, i, 1] = green
            result[v, i, 2] = blue


@_compiled
def settled(source: Floats, start: float, step: float, lean: float, table: Floats, result: Floats) -> None:
    """Resample each column, from places that move on: start + step j + lean i for row j and column i.

    As ``leaned``, along the other axis; source : float32[h, columns, 3], result : float32[rows, columns, 3].
    """
    phases, taps = table.shape
    before, last = taps // 2 - 1, source.shape[0] - taps
    for j in range(result.shape[0]):
        for i in range(result.shape[1]):
            y = start + j * step + i * lean
            row = int(np.floor(y))
            phase = int((y - row) * phases)
            row = min(max(row - before, 0), last)
            red = table[0, 0] * 0
            green = red
            blue = red
            for k in range(taps):
                weight = table[phase, k]
                red += weight * source[row + k, i, 0]
                green += weight * source[row + k, i, 1]
                blue += weight * source[row + k, i, 2]
            result[j, i, 0] = red
            result[j, i, 1] = green
            result[j, i, 2] = blue


_ZERO, _ONE, _HALF, _TWO, _THREE = (np.float32(value) for value in (0, 1, 0.5, 2, 3))
_THIRD = np.float32(1 / 3)
_FOOT, _OFFSET = np.float32(24389 / 27 / 116), np.float32(16 / 116)
_UNFOOT, _UNOFFSET = np.float32(116 * 27 / 24389), np.float32(16 * 27 / 24389)
_ROOT_EPSILON = np.float32(6 / 29)
_K16, _K100, _K116, _K200, _K500 = (np.float32(value) for value in (16, 100, 116, 200, 500))
_I116, _I200, _I500 = (np.float32(1 / value) for value in (116, 200, 500))


@_compiled
def _root(ratio: Any, roots: Floats, steps: Any) -> Any:
    """Return the L*a*b* compression f(t), between the entries of a table of 0 to 1."""
    if ratio <= _ZERO:
        return _FOOT * ratio + _OFFSET
    if ratio >= _ONE:
        return ratio**_THIRD
    at = ratio * steps
    i = int(at)
    return roots[i] + (at - np.float32(i)) * (roots[i + 1] - roots[i])


@_compiled
def _cube(f: Any) -> Any:
    """Return t of f(t)."""
    return f * f * f if f > _ROOT_EPSILON else f * _UNFOOT - _UNOFFSET


@_compiled
def graded(
    light: Floats, matrix: Floats, roots: Floats, curve: Floats, colour: Floats, lightness: Floats, chroma: Floats
) -> None:
    """Turn light into toned L*a*b*: what ``linear_to_lab`` and ``toned`` do, in one pass.

    Parameters
    ----------
    light : float32[h, w, 3]. matrix : float32[3, 3], from light to X, Y, Z relative to white.
    roots : float32[n + 2], f(t) of t from 0 to 1. curve : float32[m + 2], L* after of L* before from 0 to 100.
    colour : float32[7], factor of chroma; shift of a*, b*; centre of the greys; chroma from which the shift fades, and
    where it ends.
    lightness, chroma : float32[h, w] and [h, w, 2], filled.
    """
    root_steps = np.float32(roots.shape[0] - 2)
    curve_steps = np.float32(curve.shape[0] - 2) / _K100
    factor, shift_a, shift_b, centre_a, centre_b = colour[0], colour[1], colour[2], colour[3], colour[4]
    fades = _ONE / (colour[6] - colour[5])
    shifts = shift_a != _ZERO or shift_b != _ZERO
    for y in range(light.shape[0]):
        for x in range(light.shape[1]):
            red, green, blue = light[y, x, 0], light[y, x, 1], light[y, x, 2]
            fx = _root(matrix[0, 0] * red + matrix[0, 1] * green + matrix[0, 2] * blue, roots, root_steps)
            fy = _root(matrix[1, 0] * red + matrix[1, 1] * green + matrix[1, 2] * blue, roots, root_steps)
            fz = _root(matrix[2, 0] * red + matrix[2, 1] * green + matrix[2, 2] * blue, roots, root_steps)
            at = min(max(_K116 * fy - _K16, _ZERO), _K100) * curve_steps
            i = int(at)
            lightness[y, x] = curve[i] + (at - np.float32(i)) * (curve[i + 1] - curve[i])
            a = _K500 * (fx - fy) * factor
            b = _K200 * (fy - fz) * factor
            if shifts:
                away_a, away_b = a - centre_a, b - centre_b
                share = min(max((colour[6] - np.sqrt(away_a * away_a + away_b * away_b)) * fades, _ZERO), _ONE)
                share = share * share * (_THREE - _TWO * share)
                a += share * shift_a
                b += share * shift_b
            chroma[y, x, 0] = a
            chroma[y, x, 1] = b


@_compiled
def _sharper(lightness: Any, blurred: Any, sharp: Floats) -> Any:
    """Return L* with its detail strengthened: sharp is amount, core and limit."""
    detail = lightness - blurred
    if detail > sharp[1]:
        return lightness + min((detail - sharp[1]) * sharp[0], sharp[2])
    if detail < -sharp[1]:
        return lightness + max((detail + sharp[1]) * sharp[0], -sharp[2])
    return lightness


@_compiled
def coded(
    lightness: Floats, blurred: Floats, chroma: Floats, sharp: Floats, matrix: Floats, codes: Floats, result: Any
) -> None:
    """Turn L*a*b* into codes of a space of three primaries, sharpened on the way.

    Parameters
    ----------
    lightness, blurred : float32[h, w]. chroma : float32[h, w, 2]. sharp : float32[3], amount, core and limit.
    matrix : float32[3, 3], from relative X, Y, Z to light. codes : float32[n + 2], the code of light from 0 to 1.
    result : uint16[h, w, 3], filled; light outside 0 to 1 is clipped.
    """
    steps = np.float32(codes.shape[0] - 2)
    for y in range(result.shape[0]):
        for x in range(result.shape[1]):
            fy = _sharper(lightness[y, x], blurred[y, x], sharp) * _I116 + _OFFSET
            big_x, big_y, big_z = _cube(fy + chroma[y, x, 0] * _I500), _cube(fy), _cube(fy - chroma[y, x, 1] * _I200)
            for k in range(3):
                light = matrix[k, 0] * big_x + matrix[k, 1] * big_y + matrix[k, 2] * big_z
                at = min(max(light, _ZERO), _ONE) * steps
                i = int(at)
                result[y, x, k] = np.uint16(codes[i] + (at - np.float32(i)) * (codes[i + 1] - codes[i]) + _HALF)


@_compiled
def stepped(
    lightness: Floats, blurred: Floats, chroma: Floats, sharp: Floats, matrix: Floats, roots: Floats, result: Any
) -> None:
    """Turn L*a*b* (D65) into 16-bit steps of L*a*b* under another white, sharpened on the way.

    As ``coded``, but ``matrix`` goes from relative X, Y, Z to those under the other white; result : int16[h, w, 3].
    """
    steps = np.float32(roots.shape[0] - 2)
    of_lightness, of_chroma = np.float32(32767 / 100), np.float32(256)
    most = np.float32(32767)
    for y in range(result.shape[0]):
        for x in range(result.shape[1]):
            fy = _sharper(lightness[y, x], blurred[y, x], sharp) * _I116 + _OFFSET
            big_x, big_y, big_z = _cube(fy + chroma[y, x, 0] * _I500), _cube(fy), _cube(fy - chroma[y, x, 1] * _I200)
            gx = _root(matrix[0, 0] * big_x + matrix[0, 1] * big_y + matrix[0, 2] * big_z, roots, steps)
            gy = _root(matrix[1, 0] * big_x + matrix[1, 1] * big_y + matrix[1, 2] * big_z, roots, steps)
            gz = _root(matrix[2, 0] * big_x + matrix[2, 1] * big_y + matrix[2, 2] * big_z, roots, steps)
            light = min(max((_K116 * gy - _K16) * of_lightness, _ZERO), most)
            a = min(max(_K500 * (gx - gy) * of_chroma, -most), most)
            b = min(max(_K200 * (gy - gz) * of_chroma, -most), most)
            result[y, x, 0] = np.int16(np.floor(light + _HALF))
            result[y, x, 1] = np.int16(np.floor(a + _HALF))
            result[y, x, 2] = np.int16(np.floor(b + _HALF))
