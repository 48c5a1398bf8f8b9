"""One picture file to small upright sRGB pixels: guarded against bombs, decoded at the smallest scale that serves."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from math import ceil, log2
from pathlib import Path
from typing import IO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from setsolver.catalog.colour import flat, to_srgb
from setsolver.catalog.jpeg import jpeg_pixels
from setsolver.catalog.orient import orientation_of, upright
from setsolver.errors import FrameRefused

__all__ = ["LONG_SIDE", "MOST_PIXELS", "SHORTEST_SIDE", "Decoded", "decode_small", "open_picture", "shrunk"]

LONG_SIDE = 1280
"""Pixels of the long side at which frames are measured."""
MOST_PIXELS = 300_000_000
"""Larger pictures are refused by their header, before anything is allocated (the largest sensors have 150 million)."""
SHORTEST_SIDE = 32
"""Below this there is nothing to measure."""
_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP")
"""Formats that are looked for; a JPEG with further pictures in it then calls itself MPO."""
_STORED_AS_SHOT = ("JPEG", "MPO", "PNG", "WEBP")
_HEIF_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1"})
_ORIENTATION = 0x0112
_guard = threading.Lock()


@dataclass(frozen=True, slots=True, eq=False)
class Decoded:
    """rgb : uint8[h, w, 3], sRGB, upright. width, height : of the upright full picture. note : "" if all was plain."""

    rgb: NDArray[np.uint8]
    width: int
    height: int
    note: str = ""


@contextmanager
def open_picture(source: Path | IO[bytes]) -> Iterator[Image.Image]:
    """Open a JPEG, PNG, TIFF, WebP or HEIC picture by its content, whatever its name, reading the header only.

    Raises
    ------
    FrameRefused
        Where the header claims more than ``MOST_PIXELS`` or a side under ``SHORTEST_SIDE``.
    OSError
        Where the content is no such picture (``PIL.UnidentifiedImageError``) or cannot be read.
    """
    with _opened(source) as image:
        width, height = image.size
        if width * height > MOST_PIXELS:
            raise FrameRefused(
                f"its header claims {width} x {height} pixels, more than the {MOST_PIXELS // 10**6} million that are "
                "read; save a smaller copy if the picture is real"
            )
        if min(width, height) < SHORTEST_SIDE:
            raise FrameRefused(f"it has {width} x {height} pixels; a frame needs at least {SHORTEST_SIDE} on each side")
        yield image


def decode_small(image: Image.Image, long_side: int = LONG_SIDE, *, preview_of: Image.Image | None = None) -> Decoded:
    """Return an opened picture's pixels, shrunk so that the long side is at most ``long_side``.

    JPEG is decoded at 1/2, 1/4 or 1/8 in the frequency domain where that is still large enough. Shrinking comes before
    the colour profile: a profile of a million pixels costs less than one of fifty million, and differs by rounding.
    The picture that an embedded preview shows, ``preview_of``, says orientation, profile and full size.
    """
    whole = preview_of or image
    orientation = _stored_orientation(whole)
    profile, full = whole.info.get("icc_profile"), whole.size
    pixels = jpeg_pixels(image, _fitted(image.size, long_side))
    if pixels is None:
        image.draft(None, _fitted(image.size, long_side))
        with _own_guard() if image.format == "TIFF" else nullcontext():
            image.load()
        if image.format not in _STORED_AS_SHOT:
            full = image.size
        pixels = np.asarray(flat(image))
    pixels = shrunk(pixels, long_side)
    rgb, note = to_srgb(pixels, profile)
    width, height = full if orientation < 5 else full[::-1]
    return Decoded(upright(rgb, orientation), width, height, note)


def _stored_orientation(image: Image.Image) -> int:
    """Return the turn that is still to be made: Pillow turns TIFF itself on load, libheif HEIC."""
    return orientation_of(image.getexif().get(_ORIENTATION)) if image.format in _STORED_AS_SHOT else 1


def shrunk(pixels: NDArray[np.uint8], long_side: int) -> NDArray[np.uint8]:
    """Return pixels [h, w, ...] shrunk so that the long side is at most ``long_side``.

    In steps of 2 to 1 or less: there bilinear interpolation weighs about the pixels that an output pixel covers, as
    area averaging does, in a fifth of its time.
    """
    full = pixels.shape[1], pixels.shape[0]
    width, height = _fitted(full, long_side)
    for step in reversed(range(ceil(log2(max(full) / max(width, height))))):
        part = width << step, height << step
        pixels = np.asarray(cv2.resize(pixels, part, interpolation=cv2.INTER_LINEAR), dtype=np.uint8)
    return pixels


@contextmanager
def _opened(source: Path | IO[bytes]) -> Iterator[Image.Image]:
    with source.open("rb") if isinstance(source, Path) else source as stream:
        head = stream.read(16)
        stream.seek(0)
        if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
            import pi_heif  # noqa: PLC0415 - libheif is loaded only where there are HEIC files

            yield pi_heif.HeifImageFile(stream)  # decodes on load only, so that the size can be judged first
            return
        with _own_guard():
            image = Image.open(stream, formats=_FORMATS)
        yield image


@contextmanager
def _own_guard() -> Iterator[None]:
    """Let ``MOST_PIXELS`` decide instead of Pillow's own limit, which warns at 89 million pixels."""
    with _guard:
        before = Image.MAX_IMAGE_PIXELS
        Image.MAX_IMAGE_PIXELS = None
        try:
            yield
        finally:
            Image.MAX_IMAGE_PIXELS = before


def _fitted(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    scale = min(1.0, long_side / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))
