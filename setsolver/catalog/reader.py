"""One listed file to pixels and metadata; whatever is wrong with it becomes one clear sentence.

Originals are opened for reading only.
"""

from __future__ import annotations

import io
import os
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError
from xxhash import xxh3_128

from setsolver.catalog.decode import LONG_SIDE, Decoded, decode_small, open_picture
from setsolver.catalog.digest import sampled_digest, whole_digest
from setsolver.catalog.limits import MEMORY_VARIABLE
from setsolver.catalog.metadata import shot_of, with_packets
from setsolver.catalog.orient import turned
from setsolver.catalog.pairing import RAW, companion_of, kind_of_file
from setsolver.catalog.preview import mpf_preview
from setsolver.catalog.silence import silent
from setsolver.domain.frame import Shot
from setsolver.errors import FrameOutOfReach, FrameRefused

__all__ = ["Reading", "content_hash", "picture", "read", "read_shot"]

_AGAIN = "copy it again from the card or a backup"
_FORMATS = "save it as JPEG, PNG, TIFF, WebP or HEIC"
_TALKED_OF = frozenset({"tif", "tiff"})
"""Endings of files that libtiff reads, which writes what it finds odd to the terminal."""
_DAMAGED = (SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError, struct.error, zlib.error, RuntimeError)


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """rgb : uint8[h, w, 3], sRGB, upright. width, height : of the upright full picture. note : "" if all was plain."""

    rgb: NDArray[np.uint8]
    width: int
    height: int
    shot: Shot
    note: str = ""


def read(
    file: Path, companion: Path | None = None, sidecar: Path | None = None, long_side: int = LONG_SIDE, turn: int = 0
) -> Reading:
    """Return a frame's small pixels and metadata, turned clockwise by ``turn`` degrees (0, 90, 180 or 270).

    Pixels come from the large preview in the file where it has one, else from the picture itself. A rendered picture
    shorter than ``LONG_SIDE`` that has a RAW companion is taken for a thumbnail: all is then the RAW's.

    Raises
    ------
    FrameRefused
        Where the file cannot be measured, with the reason in a sentence.
    """
    reading = _as_stored(file, companion, sidecar, long_side)
    if turn == 0:
        return reading
    width, height = (reading.width, reading.height) if turn == 180 else (reading.height, reading.width)
    return replace(reading, rgb=turned(reading.rgb, turn), width=width, height=height)


def _as_stored(file: Path, companion: Path | None, sidecar: Path | None, long_side: int) -> Reading:
    with _sentences(file), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow warns of odd tags; what matters ends in an error or in a note
        _readable(file)
        if file.suffix[1:].lower() in RAW:
            return _from_raw(file, sidecar, long_side)
        with silent() if file.suffix[1:].lower() in _TALKED_OF else nullcontext():
            reading = _from_picture(file, sidecar, long_side)
        if companion is not None and _thumbnail(reading.width, reading.height):
            raw = _from_raw(companion, sidecar, long_side)
            return replace(
                raw, note=f"measured on {companion.suffix[1:].upper()}; the picture beside it is a thumbnail"
            )
        return reading


def read_shot(file: Path, companion: Path | None = None, sidecar: Path | None = None) -> Shot:
    """Return a frame's metadata alone, the same as ``read`` does, without decoding pixels where the format allows.

    Raises
    ------
    FrameRefused
        Where the file cannot be read, with the reason in a sentence.
    """
    with _sentences(file), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        _readable(file)
        if file.suffix[1:].lower() in RAW:
            return _from_raw(file, sidecar, LONG_SIDE).shot
        with open_picture(file) as image:
            if companion is None or not _thumbnail(*image.size):
                return shot_of(image, sidecar)
        return _from_raw(companion, sidecar, LONG_SIDE).shot


def picture(file: Path, long_side: int, turn: int = 0) -> NDArray[np.uint8]:
    """Return the upright sRGB picture of a frame that is measured, uint8[h, w, 3], at a long side or as large as it is.

    turn : degrees clockwise, as in ``read``.

    Raises
    ------
    FrameRefused
        Where the file cannot be read, with the reason in a sentence.
    """
    with _sentences(file):
        companion = companion_of(file)
    return read(file, companion, long_side=long_side, turn=turn).rgb


def content_hash(file: Path, companion: Path | None = None) -> bytes:
    """Return 16 bytes that change with the content of a file and its companion (``digest``).

    Of a RAW file, which cameras write and nobody edits in its middle, three samples and the size stand for the whole:
    reading fifty megabytes to use a preview of one would cost more than measuring.

    Raises
    ------
    FrameRefused
        Where a file cannot be read, with the reason in a sentence.
    """
    with _sentences(file):
        digests = [_digest(part) for part in (file, companion) if part is not None]
    return digests[0] if companion is None else xxh3_128(b"".join(digests)).digest()


def _digest(file: Path) -> bytes:
    _regular(file)
    with file.open("rb") as stream:
        return sampled_digest(stream) if file.suffix[1:].lower() in RAW else whole_digest(stream)


def _from_picture(file: Path, sidecar: Path | None, long_side: int) -> Reading:
    with file.open("rb") as stream, open_picture(stream) as image:
        shot = shot_of(image, sidecar)
        decoded = _by_preview(image, stream, long_side) or decode_small(image, long_side)
    return Reading(decoded.rgb, decoded.width, decoded.height, shot, decoded.note)


def _by_preview(image: Image.Image, stream: IO[bytes], long_side: int) -> Decoded | None:
    """Return the picture by the large preview in its file; None where there is none, or a damaged one."""
    data = mpf_preview(image, stream, long_side)
    if data is None:
        return None
    try:
        with open_picture(io.BytesIO(data)) as preview:
            return decode_small(preview, long_side, preview_of=image)
    except (FrameRefused, OSError, *_DAMAGED):
        return None  # the picture itself is still to be had, at the price of decoding it


def _from_raw(file: Path, sidecar: Path | None, long_side: int) -> Reading:
    from setsolver.catalog.raw import read_raw  # noqa: PLC0415 - LibRaw is loaded only where there are RAW files

    with silent():
        found = read_raw(file, long_side)
    shot = with_packets(found.shot, found.packets, sidecar)
    return Reading(found.decoded.rgb, found.decoded.width, found.decoded.height, shot, found.decoded.note)


@contextmanager
def _sentences(file: Path) -> Iterator[None]:
    """Turn whatever goes wrong with a file into its sentence; the file's own name is said by whoever lists it."""
    try:
        yield
    except FrameRefused:
        raise
    except UnidentifiedImageError as error:
        raise FrameRefused(f"its content is no picture that is read here ({_begins(file)}); {_FORMATS}") from error
    except FileNotFoundError as error:
        raise FrameOutOfReach("it vanished before it was read, or is a link to nowhere; scan again") from error
    except PermissionError as error:
        raise FrameOutOfReach("no permission to read it; give yourself that right and scan again") from error
    except MemoryError as error:
        raise FrameOutOfReach(
            f"not enough memory to decode it; scan again with fewer workers, or raise {MEMORY_VARIABLE}"
        ) from error
    except OSError as error:
        if error.errno is not None:
            raise FrameOutOfReach(f"the disk reports {error.strerror!r}; check the disk and scan again") from error
        raise FrameRefused(f"it is cut off or damaged ({error}); {_AGAIN}") from error
    except Exception as error:  # - decoders raise anything on damaged bytes, and no file may end a scan
        raise FrameRefused(f"it is damaged ({type(error).__name__}: {error}); {_AGAIN}") from error


def _begins(file: Path) -> str:
    try:
        with file.open("rb") as stream:
            return f"it begins with {stream.read(8)!r}"
    except OSError:
        return "it cannot be opened again"


def _thumbnail(width: int, height: int) -> bool:
    return max(width, height) < LONG_SIDE


def _readable(file: Path) -> None:
    if _regular(file).st_size == 0:
        raise FrameRefused(f"it is empty, 0 bytes; {_AGAIN}")


def _regular(file: Path) -> os.stat_result:
    """Return a file's facts; refuse what is no file, for opening a pipe or reading a device might never end."""
    facts = file.stat()
    if what := kind_of_file(facts.st_mode):
        raise FrameRefused(f"it is no regular file but {what}; take it out of the folder")
    return facts
