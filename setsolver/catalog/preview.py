"""The large preview that a camera keeps inside its JPEG: Multi-Picture Format (CIPA DC-007-2021, section 5.2).

An APP2 segment "MPF" holds a small TIFF structure; its MP Entry (tag 0xB002) lists pictures by 16 bytes each:
attribute (type in the low 24 bits), size, offset from the TIFF header, and two dependent numbers.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from typing import IO

from PIL import Image

__all__ = ["mpf_preview"]

_APP2, _SOS, _MPF = 0xE2, 0xDA, b"MPF\0"
_MP_ENTRY = 0xB002
_LARGE_THUMBNAILS = (0x010001, 0x010002, 0x010003, 0x010004, 0x010005)
"""Types "Large Thumbnail" class 1 (VGA), 2 (full HD) and larger: the same view as the picture itself, reduced."""
_ENTRY_BYTES = 16
_MOST_ENTRIES = 64
_ASPECT_OFF = 0.01
"""A preview whose aspect differs by more than this share is letterboxed or cropped: not used."""


def mpf_preview(image: Image.Image, stream: IO[bytes], long_side: int) -> bytes | None:
    """Return the smallest embedded JPEG of the same view that is at least ``long_side`` long, or None.

    ``image`` is opened from ``stream``, whose position is kept. A damaged index counts as none: the picture itself
    is still there to be decoded.
    """
    if "mp" not in image.info:
        return None
    before = stream.tell()
    try:
        fitting = [data for data in _thumbnails(*_index(stream), stream) if _fits(data, image, long_side)]
    except (struct.error, IndexError, ValueError, OSError):
        return None
    finally:
        stream.seek(before)
    return min(fitting, key=len, default=None)


def _index(stream: IO[bytes]) -> tuple[bytes, int]:
    """Return the MP index and the place of its TIFF header in the file, from which offsets count."""
    for marker, start, size in _segments(stream):
        stream.seek(start)
        if marker == _APP2 and stream.read(4) == _MPF:
            return stream.read(size - 4), start + 4
    raise ValueError("no MPF segment")


def _segments(stream: IO[bytes]) -> Iterator[tuple[int, int, int]]:
    """Yield (marker, place of the data, its size) of a JPEG's segments up to the first scan (ITU-T T.81, B.1.1)."""
    at = 2
    while True:
        stream.seek(at)
        head = stream.read(4)
        if len(head) < 4 or head[0] != 0xFF or head[1] == _SOS:
            return
        size = struct.unpack_from(">H", head, 2)[0]
        yield head[1], at + 4, size - 2
        at += 2 + size


def _thumbnails(index: bytes, base: int, stream: IO[bytes]) -> list[bytes]:
    """Return every large thumbnail that the MP index lists."""
    found = []
    for kind, size, offset in _entries(index):
        if kind in _LARGE_THUMBNAILS and offset:
            stream.seek(base + offset)
            found.append(stream.read(size))
    return found


def _entries(index: bytes) -> list[tuple[int, int, int]]:
    """Return (type, size, offset) of each MP Entry."""
    order = {b"II": "<", b"MM": ">"}.get(index[:2], "<")
    (first,) = struct.unpack_from(order + "I", index, 4)
    (fields,) = struct.unpack_from(order + "H", index, first)
    for number in range(fields):
        tag, _, count, value = struct.unpack_from(order + "HHII", index, first + 2 + 12 * number)
        if tag == _MP_ENTRY:
            entries = min(count // _ENTRY_BYTES, _MOST_ENTRIES)
            found = [struct.unpack_from(order + "III", index, value + _ENTRY_BYTES * i) for i in range(entries)]
            return [(attribute & 0xFFFFFF, size, offset) for attribute, size, offset in found]
    return []


def _fits(data: bytes, image: Image.Image, long_side: int) -> bool:
    """Tell whether a JPEG is large enough and shows the whole picture; its size stands in its frame header."""
    size = _jpeg_size(data)
    if size is None or max(size) < long_side:
        return False
    (width, height), (full_width, full_height) = size, image.size
    return abs(width * full_height / (height * full_width) - 1) <= _ASPECT_OFF


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Return (width, height) from the first frame header (ITU-T T.81, B.2.2), None where there is none."""
    if data[:2] != b"\xff\xd8":
        return None
    for marker, start, _ in _segments(io.BytesIO(data)):
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack_from(">HH", data, start + 1)
            return (width, height) if width and height else None
    return None
