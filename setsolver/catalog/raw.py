"""Camera RAW through LibRaw: the embedded preview where it is large enough, else a half-size development."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import rawpy
from PIL import Image

from setsolver.catalog.dates import believable
from setsolver.catalog.decode import Decoded, decode_small, open_picture
from setsolver.catalog.exif import shot_from_exif
from setsolver.catalog.limits import check_bytes
from setsolver.catalog.orient import upright
from setsolver.domain.frame import Shot
from setsolver.errors import FrameRefused
from setsolver.scaling import shrunk

__all__ = ["RawFile", "read_raw", "tiff_exif"]

_FLIPS = {0: 1, 3: 3, 5: 8, 6: 6}
"""LibRaw's ``flip`` (3 = 180, 5 = 90 counter-clockwise, 6 = 90 clockwise) as Exif orientations."""
_ORIENTATION = 0x0112
_TAKEN = 0x9003
_EXIF_DIRECTORY = 0x8769
_ODD_TIFF_HEADS = {b"IIRO": b"II*\0", b"IIRS": b"II*\0", b"IIU\0": b"II*\0", b"MMOR": b"MM\0*"}
"""RAW formats that are TIFF but for their first four bytes."""
_HEAD_BYTES = 1 << 20
_BYTES_A_SAMPLE = 7
"""Of a sensor's reading while it is developed at half size: 2 as read, 2 as sorted, 2 a quarter of RGB twice, rest."""
_DAY = timedelta(days=1).total_seconds()


@dataclass(frozen=True, slots=True, eq=False)
class RawFile:
    """decoded : pixels and full size. shot : metadata of the file. packets : XMP packets of the preview."""

    decoded: Decoded
    shot: Shot
    packets: tuple[bytes, ...] = ()


def read_raw(path: Path, long_side: int) -> RawFile:
    """Return a RAW file's small pixels and metadata.

    Width and height are those of the sensor's visible area, turned upright; pixels come from the preview where it
    is at least ``long_side`` long or half of the sensor's size, else from the sensor at half size.

    Raises
    ------
    FrameRefused
        Where LibRaw does not know the file or cannot unpack it.
    """
    try:
        with rawpy.imread(str(path)) as raw:
            orientation = _FLIPS.get(raw.sizes.flip, 1)
            width, height = raw.sizes.width, raw.sizes.height
            if orientation >= 5:
                width, height = height, width
            found = _preview(path, raw, orientation, (width, height), long_side)
            if found is None:
                check_bytes(raw.sizes.raw_width * raw.sizes.raw_height * _BYTES_A_SAMPLE, "developing it")
                found = _developed(path, raw, (width, height), long_side)
            return found
    except rawpy.LibRawError as error:
        reason = error.args[0].decode() if error.args and isinstance(error.args[0], bytes) else error
        raise FrameRefused(f"LibRaw cannot read this RAW file ({reason}); export it as DNG, TIFF or JPEG") from error


def _preview(path: Path, raw: rawpy.RawPy, turn: int, full: tuple[int, int], long_side: int) -> RawFile | None:
    """Return the frame by its embedded preview, None where that is missing, too small or not readable."""
    try:
        thumb = raw.extract_thumb()
        with _picture(thumb) as image:
            if max(image.size) < min(long_side, max(full) / 2):
                return None
            own, packet = image.getexif(), image.info.get("xmp")
            decoded = decode_small(image, long_side)
    except (rawpy.LibRawNoThumbnailError, rawpy.LibRawUnsupportedThumbnailError, OSError, SyntaxError, FrameRefused):
        return None
    rgb = upright(decoded.rgb, turn) if _still_to_turn(decoded, own, turn, full) else decoded.rgb
    shot = _shot(path, raw, own)
    return RawFile(
        Decoded(rgb, *full, note="measured on the RAW's preview"), shot, (packet,) if isinstance(packet, bytes) else ()
    )


@contextmanager
def _picture(thumb: rawpy.Thumbnail) -> Iterator[Image.Image]:
    if thumb.format == rawpy.ThumbFormat.BITMAP:
        yield Image.fromarray(thumb.data)
        return
    with open_picture(io.BytesIO(thumb.data)) as image:
        yield image


def _still_to_turn(decoded: Decoded, own: Image.Exif, turn: int, full: tuple[int, int]) -> bool:
    """Tell whether a preview lies as the sensor does: some carry no orientation of their own.

    Pictures on their side show it by their aspect; upside-down ones only by the missing tag.
    """
    height, width = decoded.rgb.shape[:2]
    on_its_side = width != height and (width > height) != (full[0] > full[1])
    return on_its_side or (turn == 3 and _ORIENTATION not in own)


def _developed(path: Path, raw: rawpy.RawPy, full: tuple[int, int], long_side: int) -> RawFile:
    """Return the frame developed at half size with the camera's white balance (LibRaw turns it upright)."""
    pixels = raw.postprocess(half_size=max(full) >= 2 * long_side, use_camera_wb=True, output_bps=8)
    note = "the RAW has no large preview; developed with the camera's white balance"
    return RawFile(Decoded(shrunk(pixels, long_side), *full, note=note), _shot(path, raw, None))


def _shot(path: Path, raw: rawpy.RawPy, preview: Image.Exif | None) -> Shot:
    """Return metadata from the preview's Exif, else the file's own TIFF directories, else LibRaw's reading."""
    for exif in (preview, tiff_exif(path)):
        if exif is not None and _TAKEN in exif.get_ifd(_EXIF_DIRECTORY):
            return shot_from_exif(exif)
    other = raw.other
    return Shot(
        time=_time(other.timestamp),
        lens=_name(raw.lens.model),
        focal_mm=other.focal_length or None,
        aperture=other.aperture or None,
        exposure_s=other.shutter_speed or None,
        iso=other.iso_speed or None,
    )


def tiff_exif(path: Path) -> Image.Exif | None:
    """Return the Exif of a RAW file that is built as TIFF, None where it is not or its directories are damaged."""
    exif = Image.Exif()
    with path.open("rb") as stream:
        head = stream.read(_HEAD_BYTES)
    head = _ODD_TIFF_HEADS.get(head[:4], head[:4]) + head[4:]
    try:
        exif.load(head)
        exif.get_ifd(_EXIF_DIRECTORY)
    except Exception:  # noqa: BLE001 - a damaged directory is as good as none, whatever the parser stumbled on
        return None
    return exif


def _time(value: datetime | float | None) -> datetime | None:
    """Return LibRaw's time of exposure in local time, None where it is unknown.

    LibRaw counts seconds since 1970 and has 0 for "unknown"; rawpy hands on the number, from 0.28 on a ``datetime`` in
    the computer's own zone. No digital camera is that old, so a day about the epoch is the epoch of some zone.
    """
    seconds = value.timestamp() if isinstance(value, datetime) else float(value or 0)
    return believable(datetime.fromtimestamp(seconds)) if seconds > _DAY else None  # noqa: DTZ006 - naive, as Exif


def _name(value: str | bytes | None) -> str | None:
    text = value.decode("utf-8", "replace") if isinstance(value, bytes) else value
    return (text or "").strip("\0 ") or None
