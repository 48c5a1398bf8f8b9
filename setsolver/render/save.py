"""Codes to a file for the lab: TIFF at 16 bits or JPEG 4:4:4, with profile, resolution and metadata.

By libvips, but for a TIFF in sRGB without a border, up to 4 GB (``tiff``).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import ImageCms

from setsolver.colour.profile import space_of
from setsolver.errors import BadInput
from setsolver.render.tiff import MOST, write_tiff

__all__ = [
    "ENDINGS",
    "OutProfile",
    "Paper",
    "encoded_jpeg",
    "exported",
    "load_profile",
    "save",
    "srgb_profile",
    "to_steps",
]

Format = Literal["tiff", "jpeg"]
Intent = Literal["relative", "perceptual", "saturation", "absolute"]
ENDINGS: Final[dict[str, str]] = {"tiff": ".tif", "jpeg": ".jpg"}
_JPEG: Final = {"Q": 95, "subsample_mode": "off"}
_SRGB: Final = {("tiff", "uint16"): "rgb16", ("jpeg", "uint8"): "srgb"}
_HELD: Final = 50_000_000
"""Pixels up to which a JPEG's codes are fitted to it, which takes some per cent off the file: all of it is held in
memory for that, six bytes a pixel, too many for a print of 100 million."""
_BYTES: Final = 6
"""Of a pixel of 16 bits a channel."""
_HEAD: Final = 1 << 24
"""Bytes, at most, that a TIFF holds besides its pixels."""
_MM_PER_INCH: Final = 25.4
_OUTPUT_CLASSES: Final = (b"prtr", b"mntr", b"spac")
_LAB_STEP: Final = 32768 / 128


@dataclass(frozen=True, slots=True)
class OutProfile:
    """A profile that prints are made for. file : None for sRGB. name : its description. intent, as libvips names it."""

    name: str
    file: Path | None = None
    intent: Intent = "relative"


@dataclass(frozen=True, slots=True)
class Paper:
    """How codes become a file.

    ppi : pixels per inch. border : pixels of white around the picture. xmp : a packet to put in, empty for none.
    """

    format: Format
    profile: OutProfile
    ppi: float
    border: int = 0
    xmp: bytes = b""


def load_profile(file: Path | None, intent: Intent = "relative") -> OutProfile:
    """Return a profile to print for, sRGB without a file.

    Raises
    ------
    BadInput
        Where the file is no ICC profile of a device or colour space for RGB.
    """
    if file is None:
        return OutProfile("sRGB IEC61966-2.1", None, intent)
    try:
        data = file.read_bytes()
    except OSError as error:
        raise BadInput(f"{file}: the profile cannot be read: {error.strerror}") from error
    space = space_of(data)
    if space != "RGB":
        what = f"is for {space}" if space else "is no ICC profile"
        raise BadInput(f"{file} {what}; prints are RGB: name a profile of a printer or display for RGB (.icc, .icm)")
    if data[12:16] not in _OUTPUT_CLASSES:
        raise BadInput(
            f"{file} is an input profile of class {data[12:16].decode('latin-1')!r}; name a printer's profile"
        )
    try:
        name = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(str(file))).strip()
        _lab(np.zeros((1, 1, 3), np.float32)).icc_export(output_profile=str(file), intent=intent, depth=16).avg()
    except (ImageCms.PyCMSError, OSError, pyvips.Error) as error:
        raise BadInput(
            f"{file} is no profile that can be printed for ({' '.join(str(error).split())[:120]})"
        ) from error
    return OutProfile(name or file.stem, file, intent)


@cache
def srgb_profile() -> bytes:
    """Return libvips's sRGB profile."""
    data: bytes = pyvips.Image.profile_load("srgb")
    return data


def to_steps(lab: NDArray[np.float32]) -> NDArray[np.int16]:
    """Return L*a*b* (D50) in 16-bit steps: L* 0 to 32767, a*, b* in 1/256. [h, w, 3]."""
    scaled = lab * np.array([32767 / 100, _LAB_STEP, _LAB_STEP], np.float32)
    steps: NDArray[np.int16] = np.clip(np.rint(scaled), [0, -32768, -32768], 32767).astype(np.int16)
    return steps


def exported(steps: NDArray[np.int16], profile: OutProfile, depth: int) -> pyvips.Image:
    """Return an image in a profile's own codes; black is mapped to its black (black point compensation)."""
    lab = pyvips.Image.new_from_array(steps).copy(interpretation="labs").colourspace("lab")
    return lab.icc_export(
        output_profile=str(profile.file) if profile.file else "srgb",
        intent=profile.intent,
        depth=depth,
        black_point_compensation=profile.intent != "absolute",
    )


def _image(codes: NDArray[Any], paper: Paper) -> pyvips.Image:
    depth = 16 if paper.format == "tiff" else 8
    if codes.dtype == np.int16:
        image = exported(codes, paper.profile, depth)
    else:
        image = pyvips.Image.new_from_array(codes).copy(interpretation=_SRGB[paper.format, codes.dtype.name])
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", srgb_profile())
    if paper.border:
        side = 2 * paper.border
        white = [65535 if depth == 16 else 255] * 3
        image = image.embed(
            paper.border, paper.border, image.width + side, image.height + side, extend="background", background=white
        )
    return _tagged(image, paper)


def _tagged(image: pyvips.Image, paper: Paper) -> pyvips.Image:
    image = image.copy(xres=paper.ppi / _MM_PER_INCH, yres=paper.ppi / _MM_PER_INCH)
    if paper.xmp:
        image.set_type(pyvips.GValue.blob_type, "xmp-data", paper.xmp)
    return image


def encoded_jpeg(codes: NDArray[Any], paper: Paper) -> bytes:
    """Return the bytes of a JPEG 4:4:4 of codes as ``save`` takes them."""
    image = _image(codes, paper)
    data: bytes = image.jpegsave_buffer(**_JPEG, optimize_coding=_is_held(image))
    return data


def _is_held(image: pyvips.Image) -> bool:
    return bool(image.width * image.height <= _HELD)


def save(codes: NDArray[Any], path: Path, paper: Paper) -> None:
    """Write a file.

    Parameters
    ----------
    codes : sRGB as the format has it, uint16[h, w, 3] for TIFF and uint8[h, w, 3] for JPEG, or int16[h, w, 3], steps of
    L*a*b* for the paper's profile.
    """
    if paper.format == "tiff" and codes.dtype == np.uint16 and not paper.border and codes.nbytes < MOST - _HEAD:
        write_tiff(path, codes, paper.ppi, srgb_profile(), paper.xmp)
        return
    image = _image(codes, paper)
    if paper.format == "tiff":
        large = image.width * image.height * _BYTES > MOST - _HEAD
        image.tiffsave(str(path), resunit="inch", compression="none", bigtiff=large)
    else:
        image.jpegsave(str(path), **_JPEG, optimize_coding=_is_held(image))


def _lab(lab: NDArray[np.float32]) -> pyvips.Image:
    return pyvips.Image.new_from_array(lab).copy(interpretation="lab")
