"""Fast decoding of ordinary JPEG files at 1/1, 1/2, 1/4 or 1/8, and judging those that are damaged in part."""

from __future__ import annotations

import re
from typing import Any, Final

import numpy as np
import simplejpeg
from numpy.typing import NDArray
from PIL import Image

from setsolver.catalog.limits import check_bytes, coefficient_bytes, file_bytes
from setsolver.errors import FrameRefused

__all__ = ["jpeg_pixels"]

_SCALES: Final = (8, 4, 2, 1)
_SPACES: Final = {"RGB": "RGB", "L": "GRAY"}
_CUT: Final = "Premature end of JPEG file"
_STRAY: Final = re.compile(r"Corrupt JPEG data: (\d+) extraneous bytes before marker 0x(..)")
_DAMAGE: Final = ("Corrupt JPEG data", _CUT, "Inconsistent progression")
_BAD_PROFILE: Final = "Corrupt JPEG data: bad ICC marker"
"""How libjpeg's warnings begin that are about pixels, and one of them that is not (its jerror.h; from memory)."""
_SCAN: Final = b"\xff\xda"
_END: Final = b"\xff\xd9"
_WHOLE_BAND: Final = b"\0\x3f"
_FEW: Final = 64
"""Pixels that may be missing at the end of the last rows: four of libjpeg's units of 16."""
_MISSING: Final = 128
"""What libjpeg shows of blocks that it never got: coefficients of zero, which is mid grey."""


def jpeg_pixels(image: Image.Image, least: tuple[int, int]) -> tuple[NDArray[np.uint8], str] | None:
    """Return the pixels of a JPEG at the smallest scale with at least ``least`` pixels, and a note on what it lacks.

    The library beneath, libjpeg-turbo, is Pillow's and so are the pixels; Pillow's own way, by four bytes a pixel and
    a copy, needs a tenth to a fifth longer. Of damage Pillow keeps silent; here libjpeg's warnings are heard.

    Parameters
    ----------
    image : opened, not yet decoded. least : width and height.

    Returns
    -------
    Pixels as stored, uint8[h, w(, 3)], and "" or a note. None where the file is no JPEG, has other colours than grey or
    RGB, is odd in its headers alone, or cannot be decoded at all: that is left to Pillow.

    Raises
    ------
    FrameRefused
        Where a part of the picture is missing or wrong.
    """
    stream = getattr(image, "fp", None)
    if stream is None or image.format not in {"JPEG", "MPO"} or image.mode not in _SPACES:
        return None
    width, height = image.size
    scale = next(
        scale for scale in _SCALES if scale == 1 or (width // scale >= least[0] and height // scale >= least[1])
    )
    size = {"min_height": -(-height // scale), "min_width": -(-width // scale)}  # libjpeg rounds up
    check_bytes(
        coefficient_bytes(stream)
        + 2 * file_bytes(stream)
        + size["min_width"] * size["min_height"] * 4 * len(image.mode)
    )
    stream.seek(0)
    data, space, note = stream.read(), _SPACES[image.mode], ""
    try:
        pixels: NDArray[np.uint8] = simplejpeg.decode_jpeg(data, space, **size)
    except ValueError as warning:
        found = _judged(data, space, str(warning), size)
        if found is None:
            return None
        pixels, note = found
    return (pixels if image.mode == "RGB" else pixels[..., 0]), note


def _judged(data: bytes, space: str, warning: str, size: dict[str, Any]) -> tuple[NDArray[np.uint8], str] | None:
    """Return pixels and note of a JPEG that libjpeg warned of; None where the warning says nothing about pixels.

    Raises
    ------
    FrameRefused
        Where a part of the picture is missing or wrong.
    """
    if not warning.startswith(_DAMAGE) or warning == _BAD_PROFILE or _only_filled_up(data, warning):
        return None
    try:
        pixels = simplejpeg.decode_jpeg(data, space, strict=False, **size)
    except ValueError:  # not a warning but an error
        return None
    if warning != _CUT:
        raise FrameRefused(f"it is damaged in part ({warning}); copy it again from the card or a backup")
    if _decodes_cleanly(data + _END):
        return pixels, "the file lacks its last bytes; the picture is whole"
    if _only_corner_missing(data, 1 if space == "GRAY" else 3):
        return pixels, f"the file lacks its last bytes; of the picture {_FEW} pixels of the last rows at most"
    raise FrameRefused("it is cut off, a part of the picture is missing; copy it again from the card or a backup")


def _only_filled_up(data: bytes, warning: str) -> bool:
    """Tell whether stray bytes are zeros before a marker, as some devices write them: coded pixels never end so."""
    found = _STRAY.fullmatch(warning)
    return found is not None and b"\0" * int(found[1]) + b"\xff" + bytes.fromhex(found[2]) in data


def _decodes_cleanly(data: bytes) -> bool:
    try:
        simplejpeg.decode_jpeg(data, "GRAY", min_height=1, min_width=1)  # at the smallest scale
    except ValueError:
        return False
    return True


def _only_corner_missing(data: bytes, channels: int) -> bool:
    """Tell whether no more than ``_FEW`` pixels of the last rows are missing from a file that ends too early.

    Only where all channels come in one scan (ITU-T T.81, B.2.3): elsewhere the rows that are there may lack colours or
    detail. Lightness that is mid grey to the very end is taken as missing, so a flat grey corner is refused, never the
    other way.
    """
    at = data.rfind(_SCAN) + 4
    after = at + 1 + 2 * channels
    if data[at : at + 1] != bytes([channels]) or data[after : after + 2] != _WHOLE_BAND:
        return False
    last = simplejpeg.decode_jpeg(data, "GRAY", strict=False)[-1, ::-1, 0]
    there = np.flatnonzero(last != _MISSING)
    return bool(there.size) and int(there[0]) <= _FEW
