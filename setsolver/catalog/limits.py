"""How much memory and time one file may take, and what decoding it would take, judged by its headers alone.

A file of forty bytes can claim a picture of a gigabyte. So before anything is decoded, the bytes that decoding holds at
once are counted: as stored by the decoder, as copied by what follows, and of the file where it is read whole. Bytes a
pixel were measured on pictures of 41 megapixels with Pillow 12, libwebp 1.6 and libjpeg-turbo 3.
"""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from typing import IO

from PIL import Image

from setsolver.errors import BadInput, FrameRefused

__all__ = [
    "MEMORY_VARIABLE",
    "TIME_VARIABLE",
    "check_bytes",
    "check_webp",
    "coefficient_bytes",
    "file_bytes",
    "fits_whole",
    "most_bytes",
    "most_seconds",
    "segments",
    "stored_bytes",
]

MEMORY_VARIABLE, TIME_VARIABLE = "SETSOLVER_FRAME_MB", "SETSOLVER_FRAME_SECONDS"
_MEGABYTES, _SECONDS = 1000.0, 30.0
"""Defaults. A worker holds some 400 MB beside the frame, its networks; the slowest of a thousand camera files took less
than 5 s."""
_MOST_SCANS = 200
"""Passes of a progressive JPEG; cameras and programs write about 10. Each goes over the whole picture again."""
_STORED = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16B": 2, "I;16L": 2, "I;16N": 2}
_STORED_ELSE = 4
_COPIED = {"1": 3, "L": 2, "P": 10, "RGB": 6, "CMYK": 8, "LAB": 10, "F": 12, "RGBA": 16, "I;16": 18, "I": 20}
_COPIED_ELSE = 18
_DECODER = {"WEBP": 14, "HEIF": 12}
"""Bytes a pixel beside the stored picture: two canvases of an animation, planes before they are RGB."""
_READ_WHOLE = ("WEBP", "HEIF")
_SOS, _DHT, _JPG, _DAC = 0xDA, 0xC4, 0xC8, 0xCC
_BLOCK_ROUNDING = 1.1


def most_bytes() -> int:
    """Return how many bytes decoding one file may hold at once: ``SETSOLVER_FRAME_MB`` millions, 1000 unless set."""
    return int(_from_environment(MEMORY_VARIABLE, _MEGABYTES) * 1e6)


def most_seconds() -> float:
    """Return how many seconds of a processor one file may take: ``SETSOLVER_FRAME_SECONDS``, 30 unless set."""
    return _from_environment(TIME_VARIABLE, _SECONDS)


def _from_environment(name: str, default: float) -> float:
    text = os.environ.get(name)
    try:
        value = default if text is None else float(text)
    except ValueError:
        value = 0.0
    if not 1 <= value < 1e9:
        raise BadInput(f"the variable {name} is {text!r}; set it to a number of at least 1, or unset it")
    return value


def check_bytes(need: float, what: str = "decoding it") -> None:
    """Refuse what would hold more than ``most_bytes``.

    Raises
    ------
    FrameRefused
        With both numbers and the way out.
    """
    most = most_bytes()
    if need > most:
        raise FrameRefused(
            f"{what} would take about {need / 1e6:.0f} MB of memory, more than the {most / 1e6:.0f} MB that one file "
            f"may take; save a smaller copy, or raise {MEMORY_VARIABLE} and scan --again"
        )


def stored_bytes(image: Image.Image) -> float:
    """Return what an opened picture takes once it is decoded, its decoder and its file (where read whole) included."""
    width, height = image.size
    each = _STORED.get(image.mode, _STORED_ELSE) + _DECODER.get(image.format or "", 0)
    stream = getattr(image, "fp", None)
    whole = file_bytes(stream) if stream is not None and image.format in _READ_WHOLE else 0
    return float(width * height * each + whole)


def check_webp(head: bytes) -> None:
    """Refuse a WebP by its first bytes, since already opening one takes two canvases of its size.

    head : 30 bytes or more (RFC 9649, sections 2.5 to 2.7).

    Raises
    ------
    FrameRefused
        Where decoding would take too much.
    """
    if head[:4] != b"RIFF" or head[8:12] != b"WEBP" or len(head) < 30:
        return
    kind, data = head[12:16], head[20:30]
    if kind == b"VP8X":
        width, height = (1 + int.from_bytes(data[at : at + 3], "little") for at in (4, 7))
    elif kind == b"VP8L":
        packed = int.from_bytes(data[1:5], "little")
        width, height = 1 + (packed & 0x3FFF), 1 + (packed >> 14 & 0x3FFF)
    else:
        width, height = (int.from_bytes(data[at : at + 2], "little") & 0x3FFF for at in (6, 8))
    check_bytes(width * height * (_STORED_ELSE + _DECODER["WEBP"]))


def fits_whole(image: Image.Image) -> bool:
    """Tell whether the decoded picture and the copies that turning it to plain RGB makes fit."""
    width, height = image.size
    return stored_bytes(image) + width * height * _COPIED.get(image.mode, _COPIED_ELSE) <= most_bytes()


def file_bytes(stream: IO[bytes]) -> int:
    """Return a stream's length; its position is kept."""
    at = stream.tell()
    try:
        return stream.seek(0, io.SEEK_END)
    finally:
        stream.seek(at)


def coefficient_bytes(stream: IO[bytes]) -> float:
    """Return what libjpeg keeps of a JPEG before it can show anything: all coefficients where it has several scans.

    Two bytes for each sample of each channel (libjpeg's JCOEF), by the sampling factors of the frame header (ITU-T
    T.81, B.2.2 and B.2.3). None are kept where one scan holds all channels in sequence.

    Raises
    ------
    FrameRefused
        Where it has more scans than any program writes: each takes as long as the whole picture.
    """
    samples, channels = 0.0, 0
    for marker, start, _ in segments(stream):
        stream.seek(start)
        if 0xC0 <= marker <= 0xCF and marker not in (_DHT, _JPG, _DAC):
            samples, channels = _samples(stream.read(6 + 3 * 255))
            if marker not in (0xC0, 0xC1, 0xC3):  # progressive or arithmetic
                _check_scans(stream)
                return 2 * samples * _BLOCK_ROUNDING
        elif marker == _SOS:
            return 2 * samples * _BLOCK_ROUNDING if stream.read(1) != bytes([channels]) else 0.0
    return 0.0


def _samples(header: bytes) -> tuple[float, int]:
    """Return how many samples all channels have together, and how many channels there are."""
    height, width, channels = int.from_bytes(header[1:3], "big"), int.from_bytes(header[3:5], "big"), header[5]
    factors = [(each >> 4, each & 15) for each in header[7 : 7 + 3 * channels : 3]]
    widest, highest = (max((pair[i] for pair in factors), default=1) or 1 for i in (0, 1))
    return width * height * sum(across * down for across, down in factors) / (widest * highest), channels


def _check_scans(stream: IO[bytes]) -> None:
    stream.seek(0)
    check_bytes(file_bytes(stream), "reading it whole")
    scans = stream.read().count(bytes([0xFF, _SOS]))
    if scans > _MOST_SCANS:
        raise FrameRefused(
            f"its pixels are written in {scans} passes, and each takes as long as the whole picture; save it anew"
        )


def segments(stream: IO[bytes], base: int = 0) -> Iterator[tuple[int, int, int]]:
    """Yield (marker, place of the data, its size) of a JPEG's segments, the first scan last (ITU-T T.81, B.1.1).

    base : where in the stream the JPEG begins.
    """
    at = base + 2
    while True:
        stream.seek(at)
        head = stream.read(4)
        if len(head) < 4 or head[0] != 0xFF:
            return
        size = int.from_bytes(head[2:], "big")
        yield head[1], at + 4, size - 2
        if head[1] == _SOS:
            return
        at += 2 + size
