"""Compiled loops between light, L*a*b* and codes, toned and sharpened on the way."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from setsolver.render.compiled import Floats, Numbers, compiled, inlined
from setsolver.render.lanes import looked, most, put

__all__ = ["coded", "graded", "retoned", "stepped"]

_ZERO, _ONE, _HALF, _TWO, _THREE = (np.float32(value) for value in (0, 1, 0.5, 2, 3))
_THIRD = np.float32(1 / 3)
_EPSILON = np.float32(216 / 24389)
_FOOT, _OFFSET = np.float32(24389 / 27 / 116), np.float32(16 / 116)
_UNFOOT, _UNOFFSET = np.float32(116 * 27 / 24389), np.float32(16 * 27 / 24389)
_ROOT_EPSILON = np.float32(6 / 29)
_K16, _K100, _K116, _K200, _K500 = (np.float32(value) for value in (16, 100, 116, 200, 500))
_I116, _I200, _I500 = (np.float32(1 / value) for value in (116, 200, 500))
_GUESS = np.float32(1419900544)
"""Of the bits of x^(-1/3), from those of x divided by -3: 1 - x y^3 of such a y is at most 0.102, found by trying."""
_E1, _E2, _E3, _E4 = (np.float32(value) for value in (0.33332905, 0.22221557, 0.17447878, 0.14575697))
"""Of (1 - e)^(-1/3) as a polynomial over that range, fitted where Chebyshev's points lie."""
_P = np.array([-0.00708748, 0.5380246, 1.04423325, -1.28750967, 1.23866904, -0.69005148, 0.16372881])
"""Of c^(5/4), c from the foot's cube root to 1, fitted likewise: right to a step of 16 bits."""
_P0, _P1, _P2, _P3, _P4, _P5, _P6 = (np.float32(value) for value in _P * 1.055 - 0.055 * (np.arange(7) == 0))
_TOE, _TOE_SLOPE = np.float32(0.0031308), np.float32(12.92)
_STEP_L, _STEP_AB, _MOST = np.float32(32767 / 100), np.float32(256), np.float32(32767)


@inlined
def _cube_root(x: Any) -> Any:
    """Return the cube root of x > 0 to 5e-7, without a division: x times the square of x^(-1/3)."""
    bits = np.float32(x).view(np.int32)
    y = np.int32(_GUESS - np.float32(bits) * _THIRD).view(np.float32)
    e = _ONE - x * (y * y * y)
    y += y * (e * (_E1 + e * (_E2 + e * (_E3 + e * _E4))))
    return x * (y * y)


@inlined
def _root(ratio: Any) -> Any:
    """Return the L*a*b* compression f(t) of ISO/CIE 11664-4."""
    root = _cube_root(max(ratio, _EPSILON))
    return root if ratio > _EPSILON else _FOOT * ratio + _OFFSET


@inlined
def _cube(f: Any) -> Any:
    """Return t of f(t)."""
    cube, line = f * f * f, f * _UNFOOT - _UNOFFSET
    return cube if f > _ROOT_EPSILON else line


@inlined
def _code(light: Any, top: Any) -> Any:
    """Return the sRGB code of light (IEC 61966-2-1), 0 to ``top``: t^(1/2.4) is c^(5/4) with c its cube root."""
    t = min(max(light, _ZERO), _ONE)
    c = _cube_root(max(t, _TOE))
    power = _P0 + c * (_P1 + c * (_P2 + c * (_P3 + c * (_P4 + c * (_P5 + c * _P6)))))
    return np.int32(min((power if t > _TOE else t * _TOE_SLOPE) * top + _HALF, top))


@inlined
def _share(away_a: Any, away_b: Any, ends: Any, fades: Any) -> Any:
    """Return how much of a shift a colour takes: 1 near the centre of the greys, 0 from a chroma ``ends`` away on."""
    step = min(max((ends - np.sqrt(away_a * away_a + away_b * away_b)) * fades, _ZERO), _ONE)
    return step * step * (_THREE - _TWO * step)


@inlined
def _curved(lightness: Any, curve: Floats, steps: Any) -> Any:
    """Return L* after a curve: the change at the nearest entry of a table from 0 to 100, so looked up once."""
    held = min(max(lightness, _ZERO), _K100)
    return held + looked(curve, np.uint32(held * steps + _HALF))


@compiled
def graded(light: Floats, matrix: Numbers, curve: Floats, colour: Numbers, result: Floats) -> None:
    """Turn light into toned L*a*b*: what ``linear_to_lab`` and ``toned`` do, in one pass.

    Parameters
    ----------
    light : float32[3, n]. matrix : 9 float32, row by row, from light to X, Y, Z relative to white.
    curve : float32[m + 1], what is added to L* from 0 to 100.
    colour : 7 float32, factor of chroma; shift of a*, b*; centre of the greys; chroma from which the shift fades, and
    where it ends.
    result : float32[3, n], filled with L*, a*, b*.
    """
    size = light.size // 3
    steps = np.float32(curve.shape[0] - 1) / _K100
    m00, m01, m02, m10, m11, m12, m20, m21, m22 = matrix
    factor, shift_a, shift_b, centre_a, centre_b, begins, ends = colour
    fades = _ONE / (ends - begins)
    for i in range(size):
        red, green, blue = looked(light, i), looked(light, size + i), looked(light, 2 * size + i)
        fx = _root(m00 * red + m01 * green + m02 * blue)
        fy = _root(m10 * red + m11 * green + m12 * blue)
        fz = _root(m20 * red + m21 * green + m22 * blue)
        a, b = _K500 * (fx - fy) * factor, _K200 * (fy - fz) * factor
        share = _share(a - centre_a, b - centre_b, ends, fades)
        put(result, i, _curved(_K116 * fy - _K16, curve, steps))
        put(result, size + i, a + share * shift_a)
        put(result, 2 * size + i, b + share * shift_b)


@compiled
def retoned(lab: Floats, curve: Floats, colour: Numbers, matrix: Numbers, result: NDArray[Any]) -> None:
    """Turn L*a*b* into 8-bit sRGB codes of it toned: ``toned`` and ``lab_to_srgb`` in one pass.

    lab : float32[h, w, 3]. curve, colour : as in ``graded``. matrix : as in ``coded``. result : uint8[h, w, 3], filled.
    """
    steps = np.float32(curve.shape[0] - 1) / _K100
    m00, m01, m02, m10, m11, m12, m20, m21, m22 = matrix
    factor, shift_a, shift_b, centre_a, centre_b, begins, ends = colour
    fades = _ONE / (ends - begins)
    for i in range(lab.size // 3):
        a, b = looked(lab, 3 * i + 1) * factor, looked(lab, 3 * i + 2) * factor
        share = _share(a - centre_a, b - centre_b, ends, fades)
        fy = _curved(looked(lab, 3 * i), curve, steps) * _I116 + _OFFSET
        x, y, z = _cube(fy + (a + share * shift_a) * _I500), _cube(fy), _cube(fy - (b + share * shift_b) * _I200)
        put(result, 3 * i, _code(m00 * x + m01 * y + m02 * z, most(result)))
        put(result, 3 * i + 1, _code(m10 * x + m11 * y + m12 * z, most(result)))
        put(result, 3 * i + 2, _code(m20 * x + m21 * y + m22 * z, most(result)))


@inlined
def _sharper(lightness: Any, blurred: Any, amount: Any, core: Any, limit: Any) -> Any:
    """Return L* with its detail strengthened."""
    detail = lightness - blurred
    strong = (max(detail - core, _ZERO) + min(detail + core, _ZERO)) * amount
    return lightness + min(max(strong, -limit), limit)


@inlined
def _sharpened(lab: Floats, blurred: Floats, at: Any, size: Any, sharp: Numbers, matrix: Numbers) -> Any:
    """Return what a matrix makes of relative X, Y, Z of pixel ``at``, sharpened; all else as in ``coded``."""
    amount, core, limit = sharp
    m00, m01, m02, m10, m11, m12, m20, m21, m22 = matrix
    lightness = _sharper(looked(lab, at), looked(blurred, at), amount, core, limit)
    a, b, fy = looked(lab, size + at), looked(lab, 2 * size + at), lightness * _I116 + _OFFSET
    x, y, z = _cube(fy + a * _I500), _cube(fy), _cube(fy - b * _I200)
    return m00 * x + m01 * y + m02 * z, m10 * x + m11 * y + m12 * z, m20 * x + m21 * y + m22 * z


@compiled
def coded(
    lab: Floats,
    blurred: Floats,
    margin: int,
    sharp: Numbers,
    matrix: Numbers,
    result: NDArray[Any],
    place: tuple[int, int],
) -> None:
    """Turn L*a*b* into sRGB codes of 16 or 8 bits, sharpened on the way.

    Parameters
    ----------
    lab : float32[3, h, w]. blurred : float32[h, w], its L*. margin : pixels around that are left out.
    sharp : 3 float32, amount, core and limit. matrix : 9 float32, row by row, from relative X, Y, Z to light.
    result : uint16 or uint8[H, W, 3], filled from row and column ``place`` on; light outside 0 to 1 is clipped.
    """
    _, height, width = lab.shape
    for y in range(height - 2 * margin):
        at, out = (y + margin) * width + margin, 3 * ((place[0] + y) * result.shape[1] + place[1])
        for i in range(width - 2 * margin):
            red, green, blue = _sharpened(lab, blurred, at + i, height * width, sharp, matrix)
            put(result, out + 3 * i, _code(red, most(result)))
            put(result, out + 3 * i + 1, _code(green, most(result)))
            put(result, out + 3 * i + 2, _code(blue, most(result)))


@compiled
def stepped(
    lab: Floats,
    blurred: Floats,
    margin: int,
    sharp: Numbers,
    matrix: Numbers,
    result: NDArray[Any],
    place: tuple[int, int],
) -> None:
    """Turn L*a*b* (D65) into 16-bit steps of L*a*b* under another white, sharpened on the way.

    As ``coded``, but ``matrix`` goes from relative X, Y, Z to those under the other white; result : int16[H, W, 3].
    """
    _, height, width = lab.shape
    for y in range(height - 2 * margin):
        at, out = (y + margin) * width + margin, 3 * ((place[0] + y) * result.shape[1] + place[1])
        for i in range(width - 2 * margin):
            big_x, big_y, big_z = _sharpened(lab, blurred, at + i, height * width, sharp, matrix)
            gx, gy, gz = _root(big_x), _root(big_y), _root(big_z)
            light = min(max((_K116 * gy - _K16) * _STEP_L, _ZERO), _MOST)
            put(result, out + 3 * i, np.int16(np.floor(light + _HALF)))
            put(result, out + 3 * i + 1, np.int16(np.floor(_held(_K500 * (gx - gy)) + _HALF)))
            put(result, out + 3 * i + 2, np.int16(np.floor(_held(_K200 * (gy - gz)) + _HALF)))


@inlined
def _held(chroma: Any) -> Any:
    return min(max(chroma * _STEP_AB, -_MOST), _MOST)
