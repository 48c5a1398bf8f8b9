"""The blur of every edge of a picture."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.features.grain import noise_of
from setsolver.features.sight import Sight
from setsolver.features.views import views_of

__all__ = ["BlurMap", "blur_of"]

_REBLUR: Final = 1.0
"""Standard deviation, in preview pixels, of the known blur that edges are compared under."""
_EDGE: Final = 64
"""Least Sobel gradient (|dx| + |dy|; 4 times the step over two pixels, in grey levels) of an edge that is judged."""
_OVER_NOISE: Final = 30.0
"""Least gradient for each code of noise: of noise alone |dx| + |dy| has a mean of 5.5 and a deviation of 3 (Sobel's
weights give each a deviation of sqrt(12)), and an edge must be well above it, or noise makes its blur seem less."""
_STEP: Final = 2
"""Every second row is enough."""
_ENOUGH: Final = 16_000
"""Edge pixels beyond which only every n-th is kept."""
_SHARPEST: Final = 0.02
"""Least q^2 - 1 that is told from rounding: blur above 7 pixels is one."""


class BlurMap:
    """Blur of edge pixels, by Zhuo and Sim, "Defocus map estimation from a single image", Pattern Recognition 44, 2011.

    An edge blurred by s and blurred again by r keeps s / sqrt(s^2 + r^2) of its gradient, so the ratio q of the two
    gradients gives s = r / sqrt(q^2 - 1).

    Attributes
    ----------
    rows, columns : int64[n]. blur : float32[n], preview pixels. angle : float32[n], gradient direction in [0, pi).
    shape : (height, width) of the preview.
    """

    def __init__(self, grey: NDArray[np.uint8], noise: float = 0.0) -> None:
        """Find the edges of a preview, uint8[H, W], whose noise has a standard deviation of ``noise`` codes."""
        self.shape: tuple[int, int] = (grey.shape[0], grey.shape[1])
        dx, dy = cv2.spatialGradient(grey)
        again = cv2.spatialGradient(cv2.GaussianBlur(grey, (0, 0), _REBLUR))
        at = _ridges(dx, dy, max(_EDGE, round(_OVER_NOISE * noise)))
        along, down = _picked(dx, at), _picked(dy, at)
        kept = _length(*(_picked(part, at) for part in again))
        ratio: NDArray[np.float32] = np.divide(_length(along, down), np.maximum(kept, np.float32(1e-3)))
        self.rows, self.columns = np.divmod(at, grey.shape[1])
        over = np.maximum(ratio * ratio - np.float32(1), np.float32(_SHARPEST))
        self.blur: NDArray[np.float32] = np.divide(np.float32(_REBLUR), np.sqrt(over))
        self.angle = _half_turn(np.arctan2(down, along))


def _picked(plane: NDArray[np.int16], at: NDArray[np.int64]) -> NDArray[np.float32]:
    """Return values at flat positions; float32[n]."""
    return plane.ravel()[at].astype(np.float32)


def _length(along: NDArray[np.float32], down: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the hypotenuse; gradients of 8-bit codes cannot overflow, so ``np.hypot`` would only be slow."""
    length: NDArray[np.float32] = np.sqrt(along * along + down * down)
    return length


def _half_turn(angle: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return angles from [-pi, pi] as directions in [0, pi), sparing the slow remainder of floats."""
    angle[angle >= np.float32(np.pi)] = 0
    angle[angle < 0] += np.float32(np.pi)
    return angle


def _ridges(dx: NDArray[np.int16], dy: NDArray[np.int16], least: int) -> NDArray[np.int64]:
    """Return flat positions of pixels whose gradient is above a least one and the largest across their edge.

    Across is by row or by column; strength here is |dx| + |dy|: along one row or column of an edge it peaks where the
    gradient does. OpenCV compares several times as fast as NumPy does.
    """
    wide, high = np.abs(dx), np.abs(dy)
    strength = cv2.add(wide, high)
    rows = slice(1, -1, _STEP)
    own = strength[rows, 1:-1]
    lying = cv2.compare(wide[rows, 1:-1], high[rows, 1:-1], cv2.CMP_LT)
    in_row = _peaks(own, strength[rows, :-2], strength[rows, 2:])
    in_column = _peaks(own, strength[:-2:_STEP, 1:-1], strength[2::_STEP, 1:-1])
    cv2.copyTo(in_column, lying, in_row)  # what lies is judged by its column
    ridge = cv2.bitwise_and(in_row, cv2.compare(own, float(least), cv2.CMP_GT)).astype(bool)
    at = np.flatnonzero(ridge)
    row, column = np.divmod(at[:: 1 + len(at) // _ENOUGH], ridge.shape[1])
    found: NDArray[np.int64] = (1 + _STEP * row) * strength.shape[1] + 1 + column
    return found


def _peaks(own: NDArray[np.int16], before: NDArray[np.int16], after: NDArray[np.int16]) -> NDArray[np.uint8]:
    """Return 255 where a pixel is as strong as the one before it and stronger than the one after."""
    peaks: NDArray[np.uint8] = cv2.bitwise_and(
        cv2.compare(own, before, cv2.CMP_GE), cv2.compare(own, after, cv2.CMP_GT)
    )
    return peaks


def blur_of(sight: Sight) -> BlurMap:
    """Return the blur of a frame's edges; to be asked for by ``sight.once``."""
    return BlurMap(sight.once(views_of).grey, sight.once(noise_of).codes)
