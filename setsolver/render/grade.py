"""Light to the codes of a print in two passes over a tile: tone, then sharpening and codes.

The same as ``colour.lab``, ``colour.toning``, ``render.sharpen`` and ``render.encode`` one after the other, to a few
parts in 10,000, in a tenth of the time; those are the definition, and tests hold this to them.
"""

from __future__ import annotations

from typing import Any, Final, Literal

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from setsolver.colour.lab import TO_XYZ
from setsolver.colour.toning import NEUTRAL, SATURATED, Toning
from setsolver.render import conversion, passes
from setsolver.render.encode import SRGB_TO_D50
from setsolver.render.room import Room
from setsolver.render.sharpen import CORE, LIMIT, Sharpening

__all__ = ["Grade", "Target", "as_it_is", "shown"]

Target = Literal["srgb", "srgb8", "d50"]
"""sRGB codes of 16 or 8 bits, or 16-bit steps of L*a*b* under D50 for a profile to take over."""
_RELATIVE: Final = TO_XYZ / TO_XYZ.sum(axis=1, keepdims=True)
_FROM_RELATIVE: Final = np.linalg.inv(_RELATIVE)
_CURVE: Final = 16384
"""Entries of the table of what a curve changes: between two of them it changes by 0.006 times its slope less 1."""

_ENDS: Final = np.array([0.0, 100.0])
_NO_CHANGE: Final = np.zeros(_CURVE + 1, np.float32)
_NO_GRAIN: Final = np.zeros((0, 0), np.float32)

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
        self.dtype = {"srgb": np.uint16, "srgb8": np.uint8, "d50": np.int16}[target]
        kernel = cv2.getGaussianKernel(2 * self.margin + 1, sharpening.sigma, cv2.CV_32F)
        blur = np.ascontiguousarray(kernel[self.margin :, 0])
        sharp = _numbers([sharpening.amount if self.margin else 0.0, CORE, LIMIT])
        tone = _numbers(_RELATIVE @ matrix), _curve(toning), _colour(toning)
        out = SRGB_TO_D50 @ _FROM_RELATIVE if target == "d50" else _FROM_RELATIVE
        self._passes = passes.as_steps if target == "d50" else passes.as_codes
        self.how = tone, blur, sharp, _numbers(out)

    def codes(
        self, light: Light, room: Room, result: NDArray[Any], top: int, left: int, grain: Light | None = None
    ) -> None:
        """Fill a rectangle of a print, from row ``top`` and column ``left`` on.

        Parameters
        ----------
        light : float32[3, h, w], with ``margin`` around it. result : codes[H, W, 3] of ``dtype``.
        grain : float32[h, w], added to L* after sharpening, which leaves it alone.
        """
        between = room.floats("lab", light.shape), room.floats("blurred", (2, *light.shape[1:]))
        grain = _NO_GRAIN if grain is None else np.ascontiguousarray(grain)
        self._passes(light, self.how, grain, between, result, (top, left))


def as_it_is(light: Light, matrix: NDArray[np.float64], room: Room) -> Light:
    """Return L*a*b* (D65) of light, nothing done to it; float32[3, h, w], in ``room``.

    matrix : float64[3, 3], from the light to linear sRGB.
    """
    lab = room.floats("lab", light.shape)
    conversion.graded(light, _numbers(_RELATIVE @ matrix), _NO_CHANGE, _colour(Toning(_ENDS, _ENDS)), lab)
    return lab


def shown(lab: Light, toning: Toning) -> NDArray[np.uint8]:
    """Return a small picture as it looks once it is toned; float32[h, w, 3], L*a*b* (D65), to uint8[h, w, 3], sRGB."""
    result = np.empty(lab.shape, np.uint8)
    conversion.retoned(np.ascontiguousarray(lab), _curve(toning), _colour(toning), _numbers(_FROM_RELATIVE), result)
    return result


def _curve(toning: Toning) -> Light:
    at = np.linspace(0.0, 100.0, _CURVE + 1)
    change: Light = (np.interp(at, toning.before, toning.after) - at).astype(np.float32)
    return change


def _numbers(numbers: ArrayLike) -> tuple[np.float32, ...]:
    """Return numbers as compiled loops take them: a tuple, which the compiler keeps in registers."""
    return tuple(np.asarray(numbers, np.float32).ravel())


def _colour(toning: Toning) -> tuple[np.float32, ...]:
    factor = 0.0 if toning.mono else toning.chroma
    shift = (0.0, 0.0) if toning.mono else toning.cast
    return _numbers([factor, *shift, *toning.centre, NEUTRAL, SATURATED])
