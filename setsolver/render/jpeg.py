"""JPEG in colour by libjpeg-turbo itself: three quarters of the time of libvips, which calls it row by row."""

from __future__ import annotations

from os import SEEK_END
from pathlib import Path
from typing import Any, Final

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from setsolver.render.room import Room

__all__ = ["decoded_jpeg"]

_JPEG: Final = b"\xff\xd8\xff"


def decoded_jpeg(file: Path, width: int, height: int, room: Room) -> NDArray[Any] | None:
    """Return the RGB codes of a JPEG of a width and height, uint8[h, w, 3], in ``room``; None for any other file.

    A file that libjpeg-turbo warns of is left to libvips, which knows what damage matters.
    """
    with file.open("rb") as stream:
        if stream.read(len(_JPEG)) != _JPEG:
            return None
        size = stream.seek(0, SEEK_END)
        data = room.codes("file", (size,), np.uint8)
        stream.seek(0)
        data = data[: stream.readinto(data.data)]
    try:
        if simplejpeg.decode_jpeg_header(data)[:2] != (height, width):
            return None
        codes = room.codes("jpeg", (height, width, 3), np.uint8)
        simplejpeg.decode_jpeg(data, "RGB", buffer=codes)
    except ValueError:
        return None
    return codes
