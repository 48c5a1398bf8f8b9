"""Light to the codes of a print in two passes over a tile: tone, then sharpening and codes.

The same as ``colour.lab``, ``colour.toning``, ``render.sharpen`` and ``render.encode`` one after the other, to a few
parts in 10,000, in a third of the time; those are the definition, and tests hold this to them.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final, Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import TO_XYZ
from setsolver.colour.toning import NEUTRAL, SATURATED, Toning
from setsolver.render import kernels
from setsolver.render.encode import SRGB_TO_D50
from setsolver.render.sharpen import CORE, LIMIT, Sharpening

__all__ = ["Grade", "Target"]

Target = Literal["srgb", "d50"]
"""16-bit sRGB codes, or 16-bit steps of L*a*b* under D50 for a profile to take over."""
_RELATIVE: Final = TO_XYZ / TO_XYZ.sum(axis=1, keepdims=True)
_FROM_RELATIVE: Final = np.linalg.inv(_RELATIVE)
_ROOTS: Final = 8192
_CURVE: Final = 8192
_CODES: Final = 16384

Light = NDArray[np.float32]


class Grade:
    """What is done to every tile of a print: built once, used by all threads."""

    def __init__(self, matrix: NDArray[np.float64], toning: Toning, sharpening: Sharpening, target: Target) -> None:
        """Build the tables.

        Parameters
        ----------
        matrix : float64[3, 3], from the original's light to linear sRGB.
        """
        self.margin = sharpening.margin
        self._sigma = sharpening.sigma
        self._sharp = np.array([sharpening.amount if self.margin else 0.0, CORE, LIMIT], np.float32)
        self._into = (_RELATIVE @ matrix).astype(np.float32)
        at = np.minimum(np.arange(_CURVE + 2) * (100.0 / _CURVE), 100.0)
        self._curve = np.interp(at, toning.before, toning.after).astype(np.float32)
        factor = 0.0 if toning.mono else toning.chroma
        shift = (0.0, 0.0) if toning.mono else toning.cast
        self._colour = np.array([factor, *shift, *toning.centre, NEUTRAL, SATURATED], np.float32)
        self._target = target
        out = _FROM_RELATIVE if target == "srgb" else SRGB_TO_D50 @ _FROM_RELATIVE
        self._out = out.astype(np.float32)

    def codes(self, light: Light) -> NDArray[Any]:
        """Return the codes of a tile whose light comes with ``margin`` around it; uint16 or int16[h, w, 3]."""
        height, width = light.shape[:2]
        lightness, chroma = np.empty((height, width), np.float32), np.empty((height, width, 2), np.float32)
        kernels.graded(light, self._into, _roots(), self._curve, self._colour, lightness, chroma)
        blurred = lightness
        m = self.margin
        if m:
            blurred = np.asarray(cv2.GaussianBlur(lightness, (2 * m + 1, 2 * m + 1), self._sigma), np.float32)
            lightness, blurred, chroma = (part[m:-m, m:-m] for part in (lightness, blurred, chroma))
        shape = (*lightness.shape, 3)
        if self._target == "srgb":
            codes: NDArray[Any] = np.empty(shape, np.uint16)
            kernels.coded(lightness, blurred, chroma, self._sharp, self._out, _srgb_codes(), codes)
        else:
            codes = np.empty(shape, np.int16)
            kernels.stepped(lightness, blurred, chroma, self._sharp, self._out, _roots(), codes)
        return codes


@cache
def _roots() -> Light:
    """Return f(t) of ISO/CIE 11664-4 at even steps of t from 0 to 1."""
    t = np.arange(_ROOTS + 2) / _ROOTS
    return np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116).astype(np.float32)


@cache
def _srgb_codes() -> Light:
    """Return 16-bit sRGB codes (IEC 61966-2-1) at even steps of light from 0 to 1."""
    t = np.minimum(np.arange(_CODES + 2) / _CODES, 1.0)
    return (np.where(t <= 0.0031308, 12.92 * t, 1.055 * t ** (1 / 2.4) - 0.055) * 65535).astype(np.float32)
