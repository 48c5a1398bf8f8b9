"""JPEG files as cameras write them, made from small pictures, and the fastest bare decoding of them."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import cv2
import numpy as np
import simplejpeg
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.catalog.pictures import with_mpf

__all__ = ["bare", "camera_file", "imagined", "plain", "with_preview"]

LONG_SIDE = 1280
"""What a scan measures frames at."""

PREVIEW = 1620
"""Long side of an embedded preview; cameras' are 1616 to 1920 (common practice, no source)."""


def camera_file(rgb: np.ndarray, megapixels: float, random: np.random.Generator, grain: float = 1.0) -> bytes:
    """Enlarge a picture, add grain, and encode it.

    With grain 1 about one bit a pixel comes out, as of a clean frame at a usual quality; with grain 3 about 2.6, as of
    the finest quality that cameras offer (common practice, no source).
    """
    factor = (megapixels * 1e6 / (rgb.shape[0] * rgb.shape[1])) ** 0.5
    large = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
    coarse = random.normal(0, 2.5, (large.shape[0] // 2, large.shape[1] // 2)).astype(np.float32)
    noise = cv2.resize(coarse, large.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    if grain > 1:
        noise += cv2.randn(np.empty_like(noise), 0, 1.5 * grain)
    noise = noise.astype(np.int16)
    for channel in range(3):
        large[..., channel] = cv2.add(large[..., channel].astype(np.int16), noise, dtype=cv2.CV_8U)
    out = io.BytesIO()
    Image.fromarray(large).save(out, "JPEG", quality=92 if grain <= 1 else 94, subsampling=2)
    return out.getvalue()


def with_preview(code: bytes) -> bytes:
    """Return the file with a preview of its picture listed by the Multi-Picture Format (CIPA DC-007)."""
    with Image.open(io.BytesIO(code)) as image:
        image.draft("RGB", (PREVIEW, PREVIEW))
        small = image.convert("RGB")
    small.thumbnail((PREVIEW, PREVIEW), Image.Resampling.BOX)
    out = io.BytesIO()
    small.save(out, "JPEG", quality=85)
    return with_mpf(code, out.getvalue())


def imagined(random: np.random.Generator, size: tuple[int, int] = (1280, 854)) -> np.ndarray:
    """Return a picture with a photograph's spectrum (1/f) and warm and cold places; uint8[h, w, 3]."""
    width, height = size
    picture = np.full((height, width, 3), 120, np.float32)
    for step in (1, 2, 4, 8, 16, 32, 64, 128):
        coarse = random.normal(0, 4 * step**0.5, (height // step + 2, width // step + 2, 3)).astype(np.float32)
        coarse = 0.8 * coarse.mean(axis=2, keepdims=True) + 0.2 * coarse
        picture += cv2.resize(coarse, size, interpolation=cv2.INTER_CUBIC)
    return np.clip(picture, 0, 255).astype(np.uint8)


def scale_of(size: tuple[int, int]) -> int:
    """Return the strongest reduction in libjpeg's steps that leaves 1280 pixels."""
    return max(scale for scale in (1, 2, 4, 8) if max(size) // scale >= LONG_SIDE or scale == 1)


def fitted(pixels: np.ndarray) -> tuple[int, int]:
    factor = min(1.0, LONG_SIDE / max(pixels.shape))
    return round(pixels.shape[1] * factor), round(pixels.shape[0] * factor)


def bare(code: bytes) -> np.ndarray:
    """Decode at the smallest scale that leaves 1280 pixels and shrink to that: the fastest way known here."""
    height, width = simplejpeg.decode_jpeg_header(code)[:2]
    scale = scale_of((width, height))
    pixels = simplejpeg.decode_jpeg(code, min_height=-(-height // scale), min_width=-(-width // scale))
    return cv2.resize(pixels, fitted(pixels), interpolation=cv2.INTER_LINEAR)


def plain(code: bytes) -> np.ndarray:
    """Decode at the same scale the common way: Pillow, then area averaging."""
    image = Image.open(io.BytesIO(code))
    scale = scale_of(image.size)
    image.draft("RGB", (image.size[0] // scale, image.size[1] // scale))
    pixels = np.asarray(image)
    return cv2.resize(pixels, fitted(pixels), interpolation=cv2.INTER_AREA)
