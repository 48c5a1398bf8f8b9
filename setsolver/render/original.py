"""Originals at full size: codes of a part of the upright frame, and how they become light. Opened for reading only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import pyvips
from numpy.typing import NDArray

from setsolver.colour.profile import Curves, d50_matrix, space_of, srgb_curves, to_srgb_light
from setsolver.errors import FrameRefused
from setsolver.render.jpeg import decoded_jpeg
from setsolver.render.room import Room

__all__ = ["Original", "Region", "read_original", "turned"]

Region = Callable[[int, int], tuple[int, int, int, int]]
"""From the upright frame's width and height to the part that is wanted: left, top, right, bottom."""
Codes = NDArray[Any]

_HEIF_BRANDS: Final = frozenset(
    {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1"}
)
_AGAIN: Final = "bring the original back from the card or a backup, then finish again"
_D50: Final = [96.42, 100.0, 82.49]
_ROMM_TO_XYZ: Final = np.array(
    [[0.7976749, 0.1351917, 0.0313534], [0.2880402, 0.7118741, 0.0000857], [0.0, 0.0, 0.8252100]]
)
"""ROMM RGB (ISO 22028-2) to XYZ under D50, from memory: a space that holds what colour tables give."""
_ROOT: Final = 2.0
"""Exponent of the codes in which such colours are kept: fine in the shadows."""


@dataclass(frozen=True, slots=True, eq=False)
class Original:
    """A part of an original.

    codes : uint8 or uint16[h, w, 3], C-contiguous, upright, from ``corner`` (x, y) on.
    width, height : of the whole upright frame.
    curves : from codes to linear light. note : what was done that a reader should know, empty if nothing.
    """

    codes: Codes
    corner: tuple[int, int]
    width: int
    height: int
    curves: Curves
    note: str = ""

    def part(self, left: int, top: int, right: int, bottom: int) -> Codes:
        """Return the codes of a rectangle of the frame, [h, w, 3]; what lies outside is left out."""
        x, y = self.corner
        return self.codes[max(0, top - y) : max(0, bottom - y), max(0, left - x) : max(0, right - x)]

    def light(self, left: int, top: int, right: int, bottom: int) -> NDArray[np.float32]:
        """Return linear light of such a part in the file's own primaries; ``curves.matrix`` turns it into linear sRGB.

        float32[h, w, 3].
        """
        part = self.part(left, top, right, bottom)
        return np.stack([self.curves.light[channel][part[..., channel]] for channel in range(3)], axis=-1)


def read_original(
    file: Path, region: Region, *, raw: bool = False, turn: int = 0, into: Room | None = None
) -> Original:
    """Return the part of an original that a print needs, or more of it where more is there anyway.

    Parameters
    ----------
    region : what part. raw : develop it as a camera's RAW file. turn : degrees clockwise (0, 90, 180, 270) by which the
    upright picture is turned further, as the user said. into : where codes may lie, until the next one is read into it.

    Raises
    ------
    FrameRefused
        Where the file cannot be decoded whole, with the reason in a sentence.
    """
    try:
        if raw:
            from setsolver.render.raw import developed  # noqa: PLC0415 - LibRaw is loaded only where there are RAW files

            return _of_array(developed(file), None, region, turn)
        with file.open("rb") as stream:
            head = stream.read(16)
        if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
            return _of_array(*_heif(file), region, turn)
        return _streamed(file, region, turn, into or Room())
    except FileNotFoundError as error:
        raise FrameRefused(f"it is gone; {_AGAIN}") from error
    except PermissionError as error:
        raise FrameRefused("no permission to read it; give yourself that right, then finish again") from error
    except MemoryError as error:
        raise FrameRefused("not enough memory to decode it; finish with --workers 1") from error
    except (pyvips.Error, OSError, ValueError, RuntimeError) as error:
        why = " ".join(str(getattr(error, "detail", "") or error).split())
        raise FrameRefused(f"it cannot be decoded whole ({why[:160]}); {_AGAIN}") from error


def turned(codes: Codes, orientation: int, turn: int = 0) -> Codes:
    """Return stored pixels as they should be seen: by Exif orientation 1 to 8, then by degrees clockwise.

    TIFF 6.0, 1992, section 8: values 5 to 8 store rows as columns.
    """
    if orientation >= 5:
        codes = codes.swapaxes(0, 1)
    if orientation in (3, 4, 7, 8):
        codes = codes[::-1]
    if orientation in (2, 3, 6, 7):
        codes = codes[:, ::-1]
    return np.ascontiguousarray(np.rot90(codes, -turn // 90))


def _stored(
    box: tuple[int, int, int, int], size: tuple[int, int], orientation: int, turn: int
) -> tuple[int, int, int, int]:
    """Return where a box of the seen picture lies on the stored one, whose width and height are ``size``."""
    left, top, right, bottom = box
    width, height = size if orientation < 5 else size[::-1]  # upright, before the turn
    if turn == 90:  # what was at the left is now at the top
        left, top, right, bottom = top, height - right, bottom, height - left
    elif turn == 180:
        left, top, right, bottom = width - right, height - bottom, width - left, height - top
    elif turn == 270:
        left, top, right, bottom = width - bottom, left, width - top, right
    if orientation in (2, 3, 6, 7):
        left, right = width - right, width - left
    if orientation in (3, 4, 7, 8):
        top, bottom = height - bottom, height - top
    return (top, left, bottom, right) if orientation >= 5 else (left, top, right, bottom)


def _seen(size: tuple[int, int], orientation: int, turn: int) -> tuple[int, int]:
    return size[::-1] if (orientation >= 5) != (turn in (90, 270)) else size


def _streamed(file: Path, region: Region, turn: int, room: Room) -> Original:
    """Decode by libvips from top to bottom, keeping the part alone."""
    image = pyvips.Image.new_from_file(str(file), access="sequential", fail_on="error")
    orientation = image.get("orientation") if image.get_typeof("orientation") else 1
    orientation = orientation if 1 <= orientation <= 8 else 1
    size = image.width, image.height
    seen = _seen(size, orientation, turn)
    box = region(*seen)
    left, top, right, bottom = _stored(box, size, orientation, turn)
    plain, curves, note = _plain(image)
    codes = None
    if plain is image and image.format == "uchar" and image.bands == 3:  # the file's own codes, whatever decodes them
        codes = decoded_jpeg(file, image.width, image.height, room)
    if codes is not None and orientation == 1 and turn == 0:  # as it is: a part would be a copy
        return Original(codes, (0, 0), *seen, curves, note)
    if codes is None:
        codes = plain.crop(left, top, right - left, bottom - top).numpy()
    else:
        codes = codes[top:bottom, left:right]
    return Original(turned(codes, orientation, turn), box[:2], *seen, curves, note)


def _plain(image: pyvips.Image) -> tuple[pyvips.Image, Curves, str]:
    """Return three channels of 8 or 16 bits, and what they mean."""
    profile = image.get("icc-profile-data") if image.get_typeof("icc-profile-data") else None
    if image.hasalpha():
        image = image.flatten(background=_white(image))
    levels = 256 if image.format == "uchar" else 65536
    note = ""
    if profile is not None and _fits(profile, image):
        try:
            return *_by_profile(image, profile, levels), ""
        except ValueError as error:
            note = f"its colour profile is unusable ({error}), read as sRGB"
    if image.interpretation == "cmyk":
        wide = image.icc_import(input_profile="cmyk", pcs="lab", intent="relative")
        return *_wide(wide), "CMYK without a profile, read by a common press's"
    if names_wide_space(image):
        return image, _oprgb(levels), "no colour profile; Exif names the space opRGB"
    if image.format not in ("uchar", "ushort") or image.interpretation in ("lab", "labs", "xyz", "scrgb"):
        image, levels = image.colourspace("rgb16"), 65536
    if image.bands == 1:
        image = image.bandjoin([image, image])
    if image.bands != 3:
        raise ValueError(f"it has {image.bands} channels of kind {image.interpretation}")
    return image, srgb_curves(levels), note


def _by_profile(image: pyvips.Image, profile: bytes, levels: int) -> tuple[pyvips.Image, Curves]:
    """Return what an embedded profile says: curves and a matrix as they are, anything else by LittleCMS."""
    curves = to_srgb_light(profile, levels) if image.format in ("uchar", "ushort") else None
    if curves is not None:
        return image, curves
    return _wide(image.icc_import(embedded=True, pcs="lab", intent="relative", black_point_compensation=True))


def names_wide_space(image: pyvips.Image) -> bool:
    """Tell whether Exif names opRGB: ColorSpace "uncalibrated", InteroperabilityIndex "R03" (DCF 2.0; from memory)."""
    index = "exif-ifd4-InteroperabilityIndex"
    named: bool = image.bands == 3 and image.get_typeof(index) != 0 and str(image.get(index)).startswith("R03")
    return named


def _oprgb(levels: int) -> Curves:
    """Return how opRGB codes become light (IEC 61966-2-5; primaries and gamma from memory)."""
    light = ((np.arange(levels) / (levels - 1)) ** (563 / 256)).astype(np.float32)
    to_xyz = np.array([[0.60974, 0.20528, 0.14919], [0.31111, 0.62567, 0.06322], [0.01947, 0.06087, 0.74457]])
    return Curves(np.stack([light] * 3), d50_matrix(to_xyz))


def _white(image: pyvips.Image) -> list[float]:
    return [65535.0 if image.format == "ushort" else 255.0] * (image.bands - 1)


def _fits(profile: bytes, image: pyvips.Image) -> bool:
    return bool({"RGB": 3, "GRAY": 1, "CMYK": 4}.get(space_of(profile)) == image.bands)


def _wide(lab: pyvips.Image) -> tuple[pyvips.Image, Curves]:
    """Keep L*a*b* (D50) as 16-bit codes of a wide space."""
    into = np.linalg.inv(_ROMM_TO_XYZ) / 100.0
    light = lab.Lab2XYZ(temp=_D50).recomb(pyvips.Image.new_from_array(into.tolist()))
    codes = ((light > 0).ifthenelse(light, 0) ** (1 / _ROOT) * 65535 + 0.5).cast("ushort")
    return codes.copy(interpretation="rgb16"), wide_curves(_ROOT)


def wide_curves(exponent: float = 1.0) -> Curves:
    """Return how 16-bit codes of ROMM RGB's primaries, of an exponent, become light."""
    light = ((np.arange(65536) / 65535) ** exponent).astype(np.float32)
    return Curves(np.stack([light] * 3), d50_matrix(_ROMM_TO_XYZ))


def _heif(file: Path) -> tuple[tuple[Codes, Curves, str], bytes | None]:
    """Return a HEIC picture, which libheif turns upright, and its profile."""
    import pi_heif  # noqa: PLC0415 - libheif is loaded only where there are HEIC files

    heif = pi_heif.open_heif(file, convert_hdr_to_8bit=False)
    codes = np.array(heif)  # a copy: what libheif holds goes with its picture
    codes = codes[..., None] if codes.ndim == 2 else codes
    deep = codes.dtype != np.uint8
    if deep:  # codes of 10 or 12 bits come shifted up, with nothing in their last bits
        codes = codes.astype(np.uint16)
    if codes.shape[2] in (2, 4):
        alpha = codes[..., -1:].astype(np.float32) / (65535 if deep else 255)
        over = codes[..., :-1] * alpha + (1 - alpha) * (65535 if deep else 255)
        codes = np.rint(over).astype(codes.dtype)
    if codes.shape[2] == 1:
        codes = np.repeat(codes, 3, axis=2)
    return (codes, srgb_curves(65536 if deep else 256), ""), heif.info.get("icc_profile")


def _of_array(found: tuple[Codes, Curves, str], profile: bytes | None, region: Region, turn: int) -> Original:
    codes, curves, note = found
    if profile is not None:
        curves = to_srgb_light(profile, curves.light.shape[1]) or curves
    height, width = codes.shape[:2]
    seen = _seen((width, height), 1, turn)
    box = region(*seen)
    left, top, right, bottom = _stored(box, (width, height), 1, turn)
    return Original(turned(codes[top:bottom, left:right], 1, turn), box[:2], *seen, curves, note)
