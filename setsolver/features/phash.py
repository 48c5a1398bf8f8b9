"""A 64-bit perceptual hash."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

__all__ = ["perceptual_hash"]

_SIDE: Final = 32
_KEPT: Final = 8
_WAVES: Final = np.cos(np.pi / _SIDE * np.arange(_KEPT)[:, None] * (np.arange(_SIDE) + 0.5))
"""The lowest frequencies of the discrete cosine transform (type II); float64[8, 32]."""
_NO_WAVE: Final = 1e-6
"""What rounding may leave of a frequency that a picture does not have."""


def perceptual_hash(rgb: NDArray[np.uint8]) -> int:
    """Return a picture's hash as an unsigned 64-bit integer, most significant bit first.

    A bit says whether one of the 8 x 8 lowest frequencies of the picture, shrunk to 32 x 32 greys, is above their
    median: the ``phash`` of the library imagehash, to which tests hold it bit for bit. That transforms all
    frequencies, by a library that takes longer to load than many frames to hash.
    """
    grey = Image.fromarray(rgb).convert("L").resize((_SIDE, _SIDE), Image.Resampling.LANCZOS)
    low = _WAVES @ np.asarray(grey, np.float64) @ _WAVES.T
    low[np.abs(low) < _NO_WAVE] = 0.0
    return int.from_bytes(np.packbits(low > np.median(low)).tobytes(), "big")
