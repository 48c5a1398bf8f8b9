"""Grain: the noise of a preview in L*."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.features.colour import lightness_of_luminance, srgb_to_linear

__all__ = ["grain"]

_BLOCK: Final = 16
_FLATTEST: Final = 10
"""Percentile of blocks that is read: the flattest tenth holds grain and nothing else."""
_CODES: Final = np.arange(256, dtype=np.uint8)
_STEP: Final = np.gradient(lightness_of_luminance(srgb_to_linear(_CODES)))
"""L* for one grey code, by code."""


def grain(grey: NDArray[np.uint8]) -> float:
    """Return the noise standard deviation, in L* at the preview's scale, in the flattest tenth of 16 x 16 blocks.

    J. Immerkaer, "Fast noise variance estimation", CVIU 64(2), 1996: the mask is blind to planes of tone, and its mean
    absolute response is 6 sqrt(2 / pi) times the deviation.
    """
    code = grey.astype(np.int16)
    across = code[:, :-2] + code[:, 2:] - 2 * code[:, 1:-1]
    response = np.abs(across[:-2] + across[2:] - 2 * across[1:-1])
    rows, columns = (max(1, side // _BLOCK) for side in response.shape)
    whole = np.s_[: rows * _BLOCK, : columns * _BLOCK]  # whole blocks: shrinking by an integer is many times faster
    blocks = cv2.resize(response[whole], (columns, rows), interpolation=cv2.INTER_AREA)
    level = cv2.resize(grey[1:-1, 1:-1][whole], (columns, rows), interpolation=cv2.INTER_AREA)
    return float(np.percentile(blocks * _STEP[level], _FLATTEST) * np.sqrt(np.pi / 2) / 6)
