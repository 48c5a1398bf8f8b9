"""A finished file opened again: what it is, and its picture small, in sRGB, for measuring."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from setsolver.render.save import OutProfile

__all__ = ["FileSeen", "green_of", "read_back"]

_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True, eq=False)
class FileSeen:
    """What a file says of itself.

    rgb : uint8[h, w, 3], sRGB, its picture without the margin, at a long side. bits : 8 or 16 a channel.
    profile : the embedded ICC profile, empty where there is none.
    """

    rgb: NDArray[np.uint8]
    width: int
    height: int
    ppi: float
    bits: int
    profile: bytes


def read_back(path: Path, margin: int, long_side: int, profile: OutProfile) -> FileSeen:
    """Return what is on a file; colours come back by the way that they went out (``profile.intent``).

    Parameters
    ----------
    margin : pixels of border or bleed on every side that are no part of the crop.
    """
    image = pyvips.Image.new_from_file(str(path), access="sequential", fail_on="error")
    embedded = image.get("icc-profile-data") if image.get_typeof("icc-profile-data") else b""
    width, height = image.width, image.height
    inner = image.crop(margin, margin, width - 2 * margin, height - 2 * margin)
    scale = min(1.0, long_side / max(inner.width, inner.height))
    small = _shrunk(inner, scale) if scale < 1 else inner
    if profile.file is not None:
        small = small.icc_transform(
            "srgb",
            embedded=True,
            intent=profile.intent,
            black_point_compensation=profile.intent != "absolute",
            depth=8,
        )
        rgb = small.numpy()
    else:
        codes = small.numpy()
        rgb = codes if codes.dtype == np.uint8 else np.rint(codes / np.float32(257)).astype(np.uint8)
    bits = 16 if image.format == "ushort" else 8
    return FileSeen(np.ascontiguousarray(rgb), width, height, image.xres * _MM_PER_INCH, bits, embedded)


def _shrunk(image: pyvips.Image, scale: float) -> pyvips.Image:
    """Return a picture made smaller in floating point: the fixed point of whole codes is off by a thousandth."""
    small = image.cast("float").resize(scale, kernel="lanczos3")
    return small.rint().cast(image.format).copy(interpretation=image.interpretation)


def green_of(path: Path, margin: int) -> NDArray[np.uint8]:
    """Return the green codes of a file's picture at full size, without the margin, at 8 bits; uint8[h, w]."""
    image = pyvips.Image.new_from_file(str(path), access="sequential", fail_on="error")
    inner = image.crop(margin, margin, image.width - 2 * margin, image.height - 2 * margin)[1]
    green = inner if inner.format == "uchar" else (inner >> 8).cast("uchar")
    return np.asarray(green.numpy(), np.uint8)
