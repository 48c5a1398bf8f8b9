"""Fast decoding of sound, ordinary JPEG files at 1/1, 1/2, 1/4 or 1/8."""

from __future__ import annotations

from typing import Final

import numpy as np
import simplejpeg
from numpy.typing import NDArray
from PIL import Image

__all__ = ["jpeg_pixels"]

_SCALES: Final = (8, 4, 2, 1)
_SPACES: Final = {"RGB": "RGB", "L": "GRAY"}


def jpeg_pixels(image: Image.Image, least: tuple[int, int]) -> NDArray[np.uint8] | None:
    """Return the pixels of a JPEG at the smallest scale with at least ``least`` pixels, as stored; uint8[h, w(, 3)].

    The library beneath, libjpeg-turbo, is Pillow's and so are the pixels; Pillow's own way, by four bytes a pixel and
    a copy, needs a tenth to a fifth longer.

    Parameters
    ----------
    image : opened, not yet decoded. least : width and height.

    Returns
    -------
    None where the file is no JPEG, has other colours than grey or RGB, or is not in perfect order: what can still be
    read of it, and how its damage is called, is left to Pillow.
    """
    stream = getattr(image, "fp", None)
    if stream is None or image.format not in {"JPEG", "MPO"} or image.mode not in _SPACES:
        return None
    width, height = image.size
    scale = next(
        scale for scale in _SCALES if scale == 1 or (width // scale >= least[0] and height // scale >= least[1])
    )
    stream.seek(0)
    try:
        pixels: NDArray[np.uint8] = simplejpeg.decode_jpeg(
            stream.read(),
            _SPACES[image.mode],
            min_height=-(-height // scale),  # libjpeg rounds up
            min_width=-(-width // scale),
        )
    except ValueError:  # a warning or an error of libjpeg
        return None
    return pixels if image.mode == "RGB" else pixels[..., 0]
