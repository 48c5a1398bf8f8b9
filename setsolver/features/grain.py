"""Grain: the noise of a preview, in grey codes and in L*."""

from __future__ import annotations

from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import lightness_of_luminance, srgb_to_linear
from setsolver.features.ranks import percentile
from setsolver.features.sight import Sight
from setsolver.features.views import views_of

__all__ = ["Noise", "measure_noise", "noise_of"]

_BLOCK: Final = 16
_FLATTEST: Final = 10
"""Percentile of blocks that is read: the flattest tenth holds grain and nothing else."""
_MASK: Final = np.array([1.0, -2.0, 1.0])
_CODES: Final = np.arange(256, dtype=np.uint8)
_STEP: Final = np.gradient(lightness_of_luminance(srgb_to_linear(_CODES)))
"""L* for one grey code, by code."""


class Noise(NamedTuple):
    """Standard deviations at the preview's scale. codes : in grey codes. lightness : in L*, as a viewer sees it."""

    codes: float
    lightness: float


def measure_noise(grey: NDArray[np.uint8]) -> Noise:
    """Return the noise in the flattest tenth of 16 x 16 blocks, each of codes and of L*.

    J. Immerkaer, "Fast noise variance estimation", CVIU 64(2), 1996: the mask is blind to planes of tone, and its mean
    absolute response is 6 sqrt(2 / pi) times the deviation.
    """
    response = cv2.sepFilter2D(grey, cv2.CV_16S, _MASK, _MASK)[1:-1, 1:-1]
    rows, columns = (max(1, side // _BLOCK) for side in response.shape)
    whole = np.s_[: rows * _BLOCK, : columns * _BLOCK]
    blocks = _block_means(np.abs(response[whole]), rows, columns)
    level = _block_means(grey[1:-1, 1:-1][whole].astype(np.int16), rows, columns).astype(np.uint8)
    flattest = (percentile(found, _FLATTEST) for found in (blocks.astype(np.float64), blocks * _STEP[level]))
    return Noise(*(float(response * np.sqrt(np.pi / 2) / 6) for response in flattest))


def _block_means(plane: NDArray[np.int16], rows: int, columns: int) -> NDArray[np.float32]:
    """Return the rounded means of equal blocks of numbers up to 2040, sixteen of which sum up to 16 bits."""
    strips = plane.reshape(rows, -1, plane.shape[1])
    sums = strips.sum(axis=1, dtype=np.int16).astype(np.float32)
    means: NDArray[np.float32] = np.rint(
        cv2.resize(sums, (columns, rows), interpolation=cv2.INTER_AREA) / strips.shape[1]
    )
    return means


def noise_of(sight: Sight) -> Noise:
    """Return the noise of a frame; to be asked for by ``sight.once``."""
    return measure_noise(sight.once(views_of).grey)
