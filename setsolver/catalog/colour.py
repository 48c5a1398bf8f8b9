"""Any picture's pixels as 8-bit sRGB: embedded ICC profiles honoured, alpha over white, grey and CMYK converted."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

__all__ = ["flat", "to_srgb"]

_SPACES = {"RGB ": "RGB", "GRAY": "L", "CMYK": "CMYK"}
_SAME = 1
"""A profile that moves no test colour by more than this many of 255 levels is sRGB in all but name."""


def flat(image: Image.Image) -> Image.Image:
    """Return the picture in mode L, RGB or CMYK with 8 bits, palettes resolved and alpha laid over white."""
    if image.mode in ("L", "RGB", "CMYK"):
        return image if "transparency" not in image.info else _over_white(image.convert("RGBA"))
    if image.mode.startswith("I;16") or image.mode in ("I", "F"):
        return Image.fromarray(_eight_bits(np.asarray(image)))
    if image.mode in ("RGBA", "LA", "PA", "La", "RGBa") or "transparency" in image.info:
        return _over_white(image.convert("RGBA"))
    return image.convert("L" if image.mode == "1" else "RGB")


def to_srgb(pixels: NDArray[np.uint8], profile: bytes | None) -> tuple[NDArray[np.uint8], str]:
    """Return sRGB pixels and a note ("" where all was plain).

    Parameters
    ----------
    pixels : uint8[h, w] grey, [h, w, 3] RGB or [h, w, 4] CMYK. profile : the embedded ICC profile.

    Notes
    -----
    Without a profile, RGB and grey are read as sRGB (IEC 61966-2-1, the default of Exif and of the web).
    """
    mode = _mode(pixels)
    note = "CMYK without a profile" if mode == "CMYK" and not profile else ""
    try:
        change = _transform(profile, mode) if profile else None
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        change, note = None, "colour profile unusable, read as sRGB"
    if change is None and mode == "RGB":
        return pixels, note
    image = Image.fromarray(pixels, mode)
    return np.asarray(image.convert("RGB") if change is None else ImageCms.applyTransform(image, change)), note


def _mode(pixels: NDArray[np.uint8]) -> str:
    return "L" if pixels.ndim == 2 else {3: "RGB", 4: "CMYK"}[pixels.shape[2]]


@lru_cache(maxsize=32)
def _transform(profile: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    """Return the way from a profile to sRGB, None where it changes nothing.

    Raises
    ------
    ValueError
        Where the profile is for other channels than the picture has.
    """
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    if _SPACES.get(source.profile.xcolor_space) != mode:
        raise ValueError(f"a profile for {source.profile.xcolor_space!r} in a picture of mode {mode}")
    change = ImageCms.buildTransform(
        source, ImageCms.createProfile("sRGB"), mode, "RGB", renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC
    )
    return None if mode == "RGB" and _changes_nothing(change) else change


def _changes_nothing(change: ImageCms.ImageCmsTransform) -> bool:
    steps = np.linspace(0, 255, 6).astype(np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(1, -1, 3)
    moved = np.asarray(ImageCms.applyTransform(Image.fromarray(cube), change))
    return int(cv2.absdiff(moved, cube).max()) <= _SAME


def _over_white(image: Image.Image) -> Image.Image:
    white = Image.new("RGBA", image.size, (255, 255, 255, 255))
    return Image.alpha_composite(white, image).convert("RGB")


def _eight_bits(samples: NDArray[Any]) -> NDArray[np.uint8]:
    """Return one channel of 16-bit, 32-bit or floating-point samples as 8 bits.

    Raises
    ------
    ValueError
        Where floating-point samples are not in 0 to 1: nothing says then what white is.
    """
    if samples.dtype.kind == "f":
        if not (np.isfinite(samples).all() and samples.min() >= 0 and samples.max() <= 1):
            raise ValueError("floating-point samples outside 0 to 1")
        return np.asarray(np.rint(samples * 255), dtype=np.uint8)
    most = int(samples.max(initial=0))
    wide = samples.dtype.itemsize == 2 or most > 255
    return np.asarray(np.clip(samples.astype(np.int64) // (256 if wide else 1), 0, 255), dtype=np.uint8)
