"""One picture file to small upright sRGB pixels: guarded against bombs, decoded at the smallest scale that serves."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile, TiffImagePlugin

from setsolver.catalog.colour import flat, oprgb_to_srgb, to_srgb
from setsolver.catalog.exif import names_oprgb
from setsolver.catalog.jpeg import jpeg_pixels
from setsolver.catalog.limits import check_bytes, check_webp, coefficient_bytes, fits_whole, stored_bytes
from setsolver.catalog.orient import orientation_of, upright
from setsolver.errors import FrameRefused
from setsolver.scaling import LEAST_SIDE, fitted, shrunk

__all__ = ["LONG_SIDE", "MOST_PIXELS", "SHORTEST_SIDE", "Decoded", "decode_small", "open_picture"]

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
_HEAD = 32
_BITS, _PLANES = 258, 284
_BAND_PIXELS = 4_000_000
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
        Where the header claims more than ``MOST_PIXELS`` or a side under ``SHORTEST_SIDE``, or a strip so narrow that
        nothing can be measured once its long side is ``LONG_SIDE``.
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
        left = min(fitted(image.size, LONG_SIDE))
        if left < LEAST_SIDE:
            raise FrameRefused(
                f"it has {width} x {height} pixels, a strip too narrow to measure: {left} of its shorter side are left "
                f"where the longer has {LONG_SIDE}, and at least {LEAST_SIDE} are needed"
            )
        yield image


def decode_small(image: Image.Image, long_side: int = LONG_SIDE, *, preview_of: Image.Image | None = None) -> Decoded:
    """Return an opened picture's pixels, shrunk so that the long side is at most ``long_side``.

    JPEG is decoded at 1/2, 1/4 or 1/8 in the frequency domain where that is still large enough. Shrinking comes before
    the colour profile: a profile of a million pixels costs less than one of fifty million, and differs by rounding.
    The picture that an embedded preview shows, ``preview_of``, says orientation, profile and full size.

    Raises
    ------
    FrameRefused
        Where a JPEG is damaged in part, is a preview and lacks its end, or takes more than ``limits`` allow.
    """
    whole = preview_of or image
    orientation = _stored_orientation(whole)
    profile, full = whole.info.get("icc_profile"), whole.size
    found = jpeg_pixels(image, fitted(image.size, long_side))
    if found is not None:
        pixels, lack = found
        if lack and preview_of is not None:
            raise FrameRefused(f"its preview is cut off: {lack}")
    else:
        lack = ""
        image.draft(None, fitted(image.size, long_side))
        check_bytes(_kept_before(image) + stored_bytes(image))
        whole_fits = fits_whole(image)
        with _own_guard() if image.format == "TIFF" else nullcontext():
            image.load()
        if image.format not in _STORED_AS_SHOT:
            full = image.size
        if image.mode == "LAB":
            profile = None  # L*a*b* says what it is by itself
        pixels = np.asarray(flat(image)) if whole_fits else _in_bands(image, long_side)
    pixels = shrunk(pixels, long_side)
    if (
        profile is None
        and image.mode in ("L", "RGB")
        and whole.format in ("JPEG", "MPO")
        and names_oprgb(whole.getexif())
    ):
        rgb, note = oprgb_to_srgb(pixels), "no colour profile; Exif names the space opRGB"
    else:
        rgb, note = to_srgb(pixels, profile)
    note = "; ".join(part for part in (lack, note) if part)
    width, height = full if orientation < 5 else full[::-1]
    return Decoded(upright(rgb, orientation), width, height, note)


def _kept_before(image: Image.Image) -> float:
    stream = getattr(image, "fp", None)
    return coefficient_bytes(stream) if stream is not None and image.format in {"JPEG", "MPO"} else 0.0


def _in_bands(image: Image.Image, long_side: int) -> NDArray[np.uint8]:
    """Return a large picture shrunk by a whole number, band by band: copies of all of it would not fit.

    Twice ``long_side`` is left, so that the rest of the way is the same as for smaller pictures. Less than one step
    is cut off at the right and below.
    """
    width, height = image.size
    step = max(1, max(image.size) // (2 * long_side))
    rows = step * max(1, _BAND_PIXELS // (width * step))
    most: Any = image.getextrema()[1] if image.mode == "I" else None
    bands = []
    for top in range(0, height - step + 1, rows):
        bottom = min(top + rows, height // step * step)
        band = np.asarray(flat(image.crop((0, top, width // step * step, bottom)), most))
        bands.append(cv2.resize(band, (width // step, (bottom - top) // step), interpolation=cv2.INTER_AREA))
    return np.asarray(np.concatenate(bands), dtype=np.uint8)


def _stored_orientation(image: Image.Image) -> int:
    """Return the turn that is still to be made: Pillow turns TIFF itself on load, libheif HEIC."""
    return orientation_of(image.getexif().get(_ORIENTATION)) if image.format in _STORED_AS_SHOT else 1


@contextmanager
def _opened(source: Path | IO[bytes]) -> Iterator[Image.Image]:
    with source.open("rb") if isinstance(source, Path) else source as stream:
        head = stream.read(_HEAD)
        stream.seek(0)
        check_webp(head)
        if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
            import pi_heif  # noqa: PLC0415 - libheif is loaded only where there are HEIC files

            yield pi_heif.HeifImageFile(stream)  # decodes on load only, so that the size can be judged first
            return
        with _own_guard():
            image = Image.open(stream, formats=_FORMATS)
            if isinstance(image, TiffImagePlugin.TiffImageFile) and _deep_planes(image):
                stream.seek(0)
                image = _by_libtiff(stream)
        yield image


def _deep_planes(image: TiffImagePlugin.TiffImageFile) -> bool:
    """Tell whether a TIFF has bare channels of more than 8 bits, one after the other: Pillow's own code misreads them.

    PlanarConfiguration 2 (TIFF 6.0, section 8). Compressed ones go to libtiff, which reads them rightly.
    """
    tags = image.tag_v2
    bare = image.info.get("compression") == "raw"
    return bare and tags.get(_PLANES) == 2 and max(tags.get(_BITS, (1,))) > 8


def _by_libtiff(stream: IO[bytes]) -> ImageFile.ImageFile:
    """Open a TIFF so that libtiff decodes it; only under the guard, for Pillow keeps that wish for all files."""
    before = TiffImagePlugin.READ_LIBTIFF
    TiffImagePlugin.READ_LIBTIFF = True
    try:
        return Image.open(stream, formats=("TIFF",))
    finally:
        TiffImagePlugin.READ_LIBTIFF = before


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
