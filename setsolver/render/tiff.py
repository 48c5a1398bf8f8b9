"""Uncompressed TIFF (TIFF 6.0, 1992): codes to a file in one write, and where a file holds its rows.

libvips copies each row some three times on its way to a file and from it, on threads of its own: half of the processor
time that files of prints take, beside the system's.
"""

from __future__ import annotations

import struct
import sys
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import DTypeLike, NDArray
from PIL.TiffImagePlugin import ImageFileDirectory_v2

__all__ = ["MOST", "Rows", "rows_in", "write_tiff"]

MOST: Final = (1 << 32) - 1
"""The largest number of 32 bits: bytes of a file whose places are such numbers, and parts of a rational."""
_PARTS: Final = 10_000
_STRIP: Final = 128
"""Rows of a strip: some readers hold a strip at a time."""
_LITTLE: Final = sys.byteorder == "little"
_MARK, _ORDER = (b"II", "<") if _LITTLE else (b"MM", ">")
_VERSION: Final = 42
_BYTE, _SHORT, _LONG, _RATIONAL, _UNDEFINED = 1, 3, 4, 5, 7
_CODES: Final = {_BYTE: "B", _SHORT: "H", _LONG: "I", _RATIONAL: "II", _UNDEFINED: "B"}
_WIDTH, _LENGTH, _BITS, _COMPRESSION, _PHOTOMETRIC, _OFFSETS, _ORIENTATION, _SAMPLES, _ROWS, _COUNTS = (
    256, 257, 258, 259, 262, 273, 274, 277, 278, 279,
)  # fmt: skip
_FILL, _X, _Y, _PLANAR, _UNIT, _FORMAT, _XMP, _ICC = 266, 282, 283, 284, 296, 339, 700, 34675
_RGB, _INCH = 2, 2


class Rows(NamedTuple):
    """Rows that lie in a file one after the other, as they are. start : byte of the first. kind : of a code."""

    start: int
    kind: DTypeLike


def write_tiff(path: Path, codes: NDArray[np.uint16], ppi: float, profile: bytes, xmp: bytes = b"") -> None:
    """Write RGB codes, uint16[h, w, 3], in the machine's byte order; fewer than ``MOST`` bytes in all.

    Raises
    ------
    OSError
        Where it cannot be written. ValueError : it is too large, or no two numbers of 32 bits tell its resolution.
    """
    height, width, _ = codes.shape
    pitch = codes.nbytes // height
    strips = range(0, height, _STRIP)
    resolution = _rational(ppi)
    tags: dict[int, tuple[int, list[int] | bytes]] = {
        _WIDTH: (_LONG, [width]),
        _LENGTH: (_LONG, [height]),
        _BITS: (_SHORT, [16] * 3),
        _COMPRESSION: (_SHORT, [1]),
        _PHOTOMETRIC: (_SHORT, [_RGB]),
        _OFFSETS: (_LONG, [0] * len(strips)),
        _ORIENTATION: (_SHORT, [1]),
        _SAMPLES: (_SHORT, [3]),
        _ROWS: (_LONG, [min(_STRIP, height)]),
        _COUNTS: (_LONG, [min(_STRIP, height - top) * pitch for top in strips]),
        _X: (_RATIONAL, resolution),
        _Y: (_RATIONAL, resolution),
        _PLANAR: (_SHORT, [1]),
        _UNIT: (_SHORT, [_INCH]),
        _FORMAT: (_SHORT, [1] * 3),
        **({_XMP: (_BYTE, xmp)} if xmp else {}),
        _ICC: (_UNDEFINED, profile),
    }
    start = len(_head(tags))
    if start + codes.nbytes > MOST:
        raise ValueError(f"{start + codes.nbytes:,} bytes are too many for a TIFF; at most {MOST:,}")
    tags[_OFFSETS] = _LONG, [start + top * pitch for top in strips]
    with path.open("wb") as stream:
        stream.write(_head(tags))
        stream.write(np.ascontiguousarray(codes).data)


def _rational(value: float) -> list[int]:
    """Return two numbers of 32 bits whose quotient is a positive value, to a part in ten thousand or nearer."""
    if not 1 / MOST <= value <= MOST:
        raise ValueError(f"a resolution of {value:g} pixels per inch cannot be told in a TIFF")
    if value < 1:
        found = 1 / Fraction(1 / value).limit_denominator(min(_PARTS, int(MOST * value)))
    else:
        found = Fraction(value).limit_denominator(min(_PARTS, int(MOST / value)))
    return [found.numerator, found.denominator]


def _head(tags: dict[int, tuple[int, list[int] | bytes]]) -> bytes:
    """Return a file's header, its directory, and what its tags hold."""
    directory, values = struct.pack(f"{_ORDER}H", len(tags)), b""
    begin = 8 + 2 + 12 * len(tags) + 4  # header, number of tags, tags, next directory
    for tag, (kind, held) in tags.items():
        form = _CODES[kind]
        data = held if isinstance(held, bytes) else struct.pack(f"{_ORDER}{len(held)}{form[0]}", *held)
        directory += struct.pack(f"{_ORDER}HHI", tag, kind, len(held) // len(form))
        if len(data) <= 4:
            directory += data.ljust(4, b"\0")
        else:
            directory += struct.pack(f"{_ORDER}I", begin + len(values))
            values += data + b"\0" * (len(data) % 2)  # on words, as section 2 has it
    head = struct.pack(f"{_ORDER}2sHI", _MARK, _VERSION, 8) + directory + struct.pack(f"{_ORDER}I", 0) + values
    return head + b"\0" * (-len(head) % 8)


def rows_in(file: Path, width: int, height: int) -> Rows | None:
    """Return where an RGB TIFF of a width and height holds its rows; None where they are not there as they are.

    They are where nothing is compressed, codes are 8 or 16 bits in the machine's byte order, and strips follow each
    other. Pillow reads the tags.
    """
    with file.open("rb") as stream:
        head = stream.read(8)
        if head[:4] != struct.pack(f"{_ORDER}2sH", _MARK, _VERSION):
            return None
        tags = ImageFileDirectory_v2(head)
        stream.seek(tags.next)
        tags.load(stream)
    bits = tags.get(_BITS, ())
    plain = {_WIDTH: width, _LENGTH: height, _COMPRESSION: 1, _PHOTOMETRIC: _RGB, _FILL: 1, _SAMPLES: 3, _PLANAR: 1}
    if any(tags.get(tag, 1) != value for tag, value in plain.items()) or bits not in ((8,) * 3, (16,) * 3):
        return None
    starts, counts = tags.get(_OFFSETS, ()), tags.get(_COUNTS, ())
    if not starts or len(starts) != len(counts) or sum(counts) != width * height * 3 * bits[0] // 8:
        return None
    ends = [start + count for start, count in zip(starts, counts, strict=True)]
    if list(starts[1:]) != ends[:-1]:
        return None
    return Rows(starts[0], np.uint8 if bits[0] == 8 else np.uint16)
