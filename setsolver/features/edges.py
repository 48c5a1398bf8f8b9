"""The blur of every edge of a picture."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["BlurMap"]

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
        along, down = dx.ravel()[at].astype(np.float32), dy.ravel()[at].astype(np.float32)
        kept = np.hypot(*(part.ravel()[at].astype(np.float32) for part in again))
        ratio = np.hypot(along, down) / np.maximum(kept, 1e-3)
        self.rows, self.columns = np.divmod(at, grey.shape[1])
        self.blur: NDArray[np.float32] = np.float32(_REBLUR) / np.sqrt(np.maximum(ratio**2 - 1, np.float32(_SHARPEST)))
        self.angle: NDArray[np.float32] = np.arctan2(down, along) % np.float32(np.pi)


def _ridges(dx: NDArray[np.int16], dy: NDArray[np.int16], least: int) -> NDArray[np.int64]:
    """Return flat positions of pixels whose gradient is above a least one and the largest across their edge.

    Across is by row or by column; strength here is |dx| + |dy|: along one row or column of an edge it peaks where the
    gradient does.
    """
    wide, high = np.abs(dx), np.abs(dy)
    strength = wide + high
    rows = slice(1, -1, _STEP)
    own = strength[rows, 1:-1]
    in_row = (own >= strength[rows, :-2]) & (own > strength[rows, 2:])
    in_column = (own >= strength[:-2:_STEP, 1:-1]) & (own > strength[2::_STEP, 1:-1])
    lying = wide[rows, 1:-1] < high[rows, 1:-1]
    ridge = ((in_row & ~lying) | (in_column & lying)) & (own > least)  # sparing np.where, slow on truth values
    at = np.flatnonzero(ridge)
    row, column = np.divmod(at[:: 1 + len(at) // _ENOUGH], ridge.shape[1])
    found: NDArray[np.int64] = (1 + _STEP * row) * strength.shape[1] + 1 + column
    return found
