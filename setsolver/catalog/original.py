"""What an original's file says of its maker and of how it is stored, for what is written about it."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from setsolver.catalog.decode import open_picture
from setsolver.catalog.orient import orientation_of
from setsolver.catalog.pairing import RAW
from setsolver.errors import FrameRefused

__all__ = ["Facts", "facts_of", "sidecar_of"]

_ORIENTATION, _DESCRIPTION, _ARTIST, _RIGHTS = 0x0112, 0x010E, 0x013B, 0x8298
"""Tags of TIFF 6.0 that Exif keeps."""


@dataclass(frozen=True, slots=True)
class Facts:
    """orientation : Exif's, 1 to 8. xmp : the packet in the file, None without. The others are "" where absent."""

    orientation: int = 1
    xmp: bytes | None = None
    artist: str = ""
    rights: str = ""
    description: str = ""


def facts_of(file: Path) -> Facts:
    """Return what a file says; of one that says nothing readable, nothing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow warns of odd tags
        if file.suffix[1:].lower() in RAW:
            from setsolver.catalog.raw import tiff_exif  # noqa: PLC0415 - LibRaw is loaded only where there are RAW files

            exif = tiff_exif(file)
            return Facts() if exif is None else _facts(exif, None)
        try:
            with open_picture(file) as image:
                xmp = image.info.get("xmp")
                return _facts(image.getexif(), xmp if isinstance(xmp, bytes) else None)
        except (OSError, SyntaxError, ValueError, FrameRefused):
            return Facts()


def sidecar_of(file: Path) -> Path | None:
    """Return a frame's sidecar, ``a.jpg.xmp`` before ``a.xmp``, None where there is neither."""
    for path in (file.with_name(file.name + ".xmp"), file.with_suffix(".xmp")):
        if path.is_file():
            return path
    return None


def _facts(exif: Image.Exif, xmp: bytes | None) -> Facts:
    return Facts(
        orientation_of(exif.get(_ORIENTATION)),
        xmp,
        *(_text(exif.get(tag)) for tag in (_ARTIST, _RIGHTS, _DESCRIPTION)),
    )


def _text(value: object) -> str:
    """Return a tag's text in one line; Exif's two parts of a copyright, photographer and editor, are parted by NUL."""
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    return "; ".join(part.strip() for part in value.split("\0") if part.strip()) if isinstance(value, str) else ""
