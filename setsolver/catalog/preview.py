"""The large preview that a camera keeps inside its JPEG: Multi-Picture Format (CIPA DC-007-2021, section 5.2).

An APP2 segment "MPF" holds a small TIFF structure; its MP Entry (tag 0xB002) lists pictures by 16 bytes each:
attribute (type in the low 24 bits), size, offset from the TIFF header, and two dependent numbers.
"""

from __future__ import annotations

import struct
from typing import IO

from PIL import Image

from setsolver.catalog.limits import file_bytes, most_bytes, segments

__all__ = ["mpf_preview"]

_APP2, _MPF = 0xE2, b"MPF\0"
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
    is still there to be decoded. Only the preview that is returned is read, and only within the file.
    """
    if "mp" not in image.info:
        return None
    before, end = stream.tell(), file_bytes(stream)
    try:
        fitting = [
            (size, at)
            for size, at in _thumbnails(*_index(stream))
            if 0 < size <= min(end - at, most_bytes() // 2) and _fits(stream, at, image, long_side)
        ]
        if not fitting:
            return None
        size, at = min(fitting)
        stream.seek(at)
        return stream.read(size)
    except (struct.error, IndexError, ValueError, OSError):
        return None
    finally:
        stream.seek(before)


def _index(stream: IO[bytes]) -> tuple[bytes, int]:
    """Return the MP index and the place of its TIFF header in the file, from which offsets count."""
    for marker, start, size in segments(stream):
        stream.seek(start)
        if marker == _APP2 and stream.read(4) == _MPF:
            return stream.read(size - 4), start + 4
    raise ValueError("no MPF segment")


def _thumbnails(index: bytes, base: int) -> list[tuple[int, int]]:
    """Return (size, place in the file) of every large thumbnail that the MP index lists."""
    entries = dict.fromkeys(_entries(index))
    return [(size, base + offset) for kind, size, offset in entries if kind in _LARGE_THUMBNAILS and offset]


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


def _fits(stream: IO[bytes], at: int, image: Image.Image, long_side: int) -> bool:
    """Tell whether a JPEG is large enough and shows the whole picture; its size stands in its frame header."""
    size = _jpeg_size(stream, at)
    if size is None or max(size) < long_side:
        return False
    (width, height), (full_width, full_height) = size, image.size
    return abs(width * full_height / (height * full_width) - 1) <= _ASPECT_OFF


def _jpeg_size(stream: IO[bytes], at: int) -> tuple[int, int] | None:
    """Return (width, height) from the first frame header (ITU-T T.81, B.2.2), None where there is none."""
    stream.seek(at)
    if stream.read(2) != b"\xff\xd8":
        return None
    for marker, start, _ in segments(stream, at):
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            stream.seek(start + 1)
            height, width = struct.unpack(">HH", stream.read(4))
            return (width, height) if width and height else None
    return None
