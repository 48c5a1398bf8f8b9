"""Any picture's pixels as 8-bit sRGB: embedded ICC profiles honoured, alpha over white, grey and CMYK converted."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

__all__ = ["flat", "oprgb_to_srgb", "to_srgb"]

_SPACES = {"RGB ": "RGB", "GRAY": "L", "CMYK": "CMYK"}
_WHITE = (0.3127, 0.3290)
_SRGB_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
"""Chromaticities of red, green and blue, and of the white D65 before: IEC 61966-2-1."""
_OPRGB_PRIMARIES = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
_OPRGB_GAMMA = 563 / 256
"""IEC 61966-2-5 (opRGB), the optional colour space of DCF 2.0; both from memory."""
_SAME = 1
"""A profile that moves no test colour by more than this many of 255 levels is sRGB in all but name."""


def flat(image: Image.Image, most: float | None = None) -> Image.Image:
    """Return the picture in mode L, RGB or CMYK with 8 bits, palettes resolved and alpha laid over white.

    most : the largest sample of the picture that this is a part of, where samples have 32 bits.
    """
    if image.mode in ("L", "RGB", "CMYK"):
        return image if "transparency" not in image.info else _over_white(image.convert("RGBA"))
    if image.mode.startswith("I;16") or image.mode in ("I", "F"):
        return Image.fromarray(_eight_bits(np.asarray(image), most))
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
    if profile is not None and _grey_in_colour(pixels, profile):
        pixels = np.ascontiguousarray(pixels[..., 0])
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


def oprgb_to_srgb(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return sRGB pixels [h, w, 3] of opRGB ones, [h, w] grey or [h, w, 3]; colours beyond sRGB are clipped."""
    if pixels.ndim == 2:
        pixels = np.repeat(pixels[..., None], 3, axis=2)
    table = ((np.arange(256) / 255) ** _OPRGB_GAMMA).astype(np.float32)
    matrix = np.linalg.inv(_to_xyz(_SRGB_PRIMARIES)) @ _to_xyz(_OPRGB_PRIMARIES)
    linear = np.clip(table[pixels] @ matrix.T.astype(np.float32), 0, 1)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255), dtype=np.uint8)


def _to_xyz(primaries: tuple[tuple[float, float], ...]) -> NDArray[np.float64]:
    """Return the matrix from linear RGB to XYZ for primaries by their chromaticities, white being D65."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in (*primaries, _WHITE)]).T
    scaled: NDArray[np.float64] = columns[:, :3] * np.linalg.solve(columns[:, :3], columns[:, 3])
    return scaled


def _grey_in_colour(pixels: NDArray[np.uint8], profile: bytes) -> bool:
    """Tell whether three equal channels come with a profile for one: grey with alpha, laid over white.

    The channels that a profile is for stand in bytes 16 to 19 of its header (ICC.1:2022, 7.2.8).
    """
    if _mode(pixels) != "RGB" or profile[16:20] != b"GRAY":
        return False
    return bool((pixels == pixels[..., :1]).all())


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


def _eight_bits(samples: NDArray[Any], most: float | None = None) -> NDArray[np.uint8]:
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
    most = int(samples.max(initial=0)) if most is None else most
    wide = samples.dtype.itemsize == 2 or most > 255
    return np.asarray(np.clip(samples.astype(np.int64) // (256 if wide else 1), 0, 255), dtype=np.uint8)
