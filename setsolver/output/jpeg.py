"""Pixels to JPEG, and JPEG to a data URI that a page can carry inside itself."""

from __future__ import annotations

from base64 import b64encode
from io import BytesIO

from PIL import Image

from setsolver.output.toned import Pixels

__all__ = ["QUALITY", "data_uri", "jpeg"]

QUALITY = 82
"""JPEG quality on sheets: no blocks visible at viewing size, at a third of the bytes of 95."""


def jpeg(rgb: Pixels, quality: int = QUALITY) -> bytes:
    """Return a baseline JPEG (ITU-T T.81) of sRGB pixels, without metadata."""
    buffer = BytesIO()
    Image.fromarray(rgb).save(buffer, "JPEG", quality=quality, optimize=True)
    return buffer.getvalue()


def data_uri(rgb: Pixels, quality: int = QUALITY) -> str:
    """Return the JPEG as a ``data:`` URI (RFC 2397)."""
    return f"data:image/jpeg;base64,{b64encode(jpeg(rgb, quality)).decode('ascii')}"
