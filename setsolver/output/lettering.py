"""Text on drawn sheets, in the open typeface that comes with the package (SIL OFL 1.1; its licence lies beside it)."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Literal

from PIL import ImageFont

__all__ = ["Weight", "fitted", "font", "wrapped"]

Weight = Literal["Regular", "Semibold"]


@cache
def font(size: int, weight: Weight = "Regular") -> ImageFont.FreeTypeFont:
    """Return the typeface at a size in pixels."""
    data = files("setsolver.output").joinpath("assets", "fonts", f"SourceSansPro-{weight}.otf").read_bytes()
    return ImageFont.truetype(BytesIO(data), size, layout_engine=ImageFont.Layout.BASIC)


def wrapped(text: str, face: ImageFont.FreeTypeFont, width: float) -> list[str]:
    """Return text as lines no wider than ``width`` pixels; a word that is wider is shortened."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and face.getlength(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(fitted(word, face, width))
    return lines


def fitted(text: str, face: ImageFont.FreeTypeFont, width: float) -> str:
    """Return text, with its middle left out where it is wider than ``width`` pixels."""
    if face.getlength(text) <= width:
        return text
    keep = len(text)
    while keep > 2 and face.getlength(_without_middle(text, keep)) > width:
        keep -= 1
    return _without_middle(text, keep)


def _without_middle(text: str, keep: int) -> str:
    head = (keep + 1) // 2
    return f"{text[:head]}\u2026{text[len(text) - (keep - head) :]}"
