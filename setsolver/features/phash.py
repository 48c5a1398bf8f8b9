"""A 64-bit perceptual hash."""

from __future__ import annotations

import imagehash
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from setsolver.features.sight import Sight, feature
from setsolver.features.views import views_of

__all__ = ["perceptual_hash"]


def perceptual_hash(rgb: NDArray[np.uint8]) -> int:
    """Return ``imagehash.phash`` of a picture as an unsigned 64-bit integer, most significant bit first.

    A bit says whether one of the 8 x 8 lowest frequencies of the picture, shrunk to 32 x 32 greys, is above their
    median. Frequencies that a picture lacks, as an even wall does all but one of, are decided by its grain or by
    rounding: the hash tells little of such pictures.

    Parameters
    ----------
    rgb : uint8[H, W, 3], sRGB.
    """
    bits = imagehash.phash(Image.fromarray(rgb)).hash
    return int.from_bytes(np.packbits(bits).tobytes(), "big")


@feature("phash")
def _phash(sight: Sight) -> np.uint64:
    return np.uint64(perceptual_hash(sight.once(views_of).small))
