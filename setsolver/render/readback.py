"""A finished file opened again, once: what it is, its picture small and in sRGB, and parts of it at full size."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from setsolver.render.average import averaged
from setsolver.render.jpeg import decoded_jpeg
from setsolver.render.resample import Tile
from setsolver.render.room import Room
from setsolver.render.save import OutProfile
from setsolver.render.tiff import Rows, rows_in
from setsolver.scaling import fitted

__all__ = ["FileSeen", "Hear", "read_back"]

Hear = Callable[[Any], object]
"""What is called with bytes."""
Strips = Iterator[tuple[int, NDArray[Any]]]

_MM_PER_INCH: Final = 25.4
_PIECE: Final = 1 << 18
"""Bytes that are read at a time where nothing is decoded of them."""
_STRIP: Final = 32
"""Rows that are held at a time, at least: few enough to stay in the processor's cache until they are averaged."""


@dataclass(frozen=True, slots=True, eq=False)
class FileSeen:
    """What a file says of itself.

    rgb : uint8[h, w, 3], sRGB, its picture without the margin, at a long side. bits : 8 or 16 a channel.
    profile : the embedded ICC profile, empty where there is none. green : uint8[h, w] of each square asked for.
    """

    rgb: NDArray[np.uint8]
    width: int
    height: int
    ppi: float
    bits: int
    profile: bytes
    green: Mapping[Tile, NDArray[np.uint8]] = field(default_factory=dict)


def read_back(
    path: Path,
    margin: int,
    long_side: int,
    profile: OutProfile,
    squares: Sequence[Tile] = (),
    room: Room | None = None,
    hear: Hear | None = None,
) -> FileSeen:
    """Return what is on a file; colours come back by the way that they went out (``profile.intent``).

    The file is decoded once, whole, some rows at a time: shrunk by a whole number as they come, and in the end by the
    rest, as a frame's preview is.

    Parameters
    ----------
    margin : pixels of border or bleed on every side that are no part of the crop. squares : parts of the picture,
    without the margin, of which the green codes are wanted as they are. room : for what is decoded.
    hear : called with all of the file's bytes, piece by piece, from its first to its last.

    Raises
    ------
    pyvips.Error, EOFError
        Where the file cannot be read whole.
    """
    image = pyvips.Image.new_from_file(str(path), access="sequential", fail_on="error")
    embedded = image.get("icc-profile-data") if image.get_typeof("icc-profile-data") else b""
    inner = image.width - 2 * margin, image.height - 2 * margin
    by = max(1, min(int(max(inner) / long_side), *inner))
    green = {square: np.empty((square.bottom - square.top, square.right - square.left), np.uint8) for square in squares}
    parts = []
    for top, rows in _strips(path, image, margin, by, room or Room(), hear):
        for square, codes in green.items():
            _copy(rows[:, margin:], top, square, codes)
        parts.append(averaged(rows, by, (margin, 0), (inner[0] // by, len(rows) // by)))
    small = np.concatenate([part for part in parts if part.size])
    if max(inner) > long_side:
        small = np.asarray(cv2.resize(small, fitted(inner, long_side), interpolation=cv2.INTER_LINEAR))
    rgb = _srgb(small, embedded, profile)
    bits = 16 if image.format == "ushort" else 8
    return FileSeen(rgb, image.width, image.height, image.xres * _MM_PER_INCH, bits, embedded, green)


def _strips(path: Path, image: pyvips.Image, margin: int, by: int, room: Room, hear: Hear | None) -> Strips:
    """Yield strips of rows from the top of the picture without its margin: the first row, and codes [rows, width, 3].

    They have the file's width, and hold until the next one is asked for.
    """
    height = image.height - 2 * margin
    step = -(-_STRIP // by) * by
    found = rows_in(path, image.width, image.height) if image.get("vips-loader") == "tiffload" else None
    if found is not None:
        yield from _as_they_lie(path, found, image.width, (margin, height, step), room, hear or _unheard)
        return
    if hear is not None:
        with path.open("rb") as stream:
            _rest(stream, hear)
    whole = decoded_jpeg(path, image.width, image.height, room)
    if whole is not None:
        yield 0, whole[margin : margin + height]
        return
    kind = {"uchar": np.uint8, "ushort": np.uint16}[image.format]
    region = pyvips.Region.new(image)
    for top in range(0, height, step):
        rows = min(step, height - top)
        data = region.fetch(0, margin + top, image.width, rows)
        yield top, np.frombuffer(data, kind).reshape(rows, image.width, image.bands)
    if margin:  # to its end, so that a file that breaks off there is found out
        region.fetch(0, image.height - 1, image.width, 1)


def _as_they_lie(path: Path, found: Rows, width: int, rows: tuple[int, int, int], room: Room, hear: Hear) -> Strips:
    """Yield strips as ``_strips`` does, of a file that holds its rows as they are; rows : margin, height, step."""
    margin, height, step = rows
    pitch = width * 3 * np.dtype(found.kind).itemsize
    with path.open("rb", buffering=0) as stream:
        for size in (found.start, *[pitch] * margin):
            hear(_read(stream, room.codes("file", (size,), np.uint8)))
        for top in range(0, height, step):
            strip = room.codes("strip", (min(step, height - top), width, 3), found.kind)
            hear(_read(stream, strip.reshape(-1).view(np.uint8)))
            yield top, strip
        for _ in range(margin):
            hear(_read(stream, room.codes("file", (pitch,), np.uint8)))
        _rest(stream, hear)


def _read(stream: IO[bytes], into: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Fill an array with the next bytes, and return it."""
    there = 0
    while there < into.size:
        more = stream.readinto(into.data[there:])  # type: ignore[attr-defined]
        if not more:
            raise EOFError(f"{stream.name} breaks off")
        there += more
    return into


def _rest(stream: IO[bytes], hear: Hear) -> None:
    while piece := stream.read(_PIECE):
        hear(piece)


def _unheard(_piece: Any) -> None:
    return None


def _copy(rows: NDArray[Any], top: int, square: Tile, green: NDArray[np.uint8]) -> None:
    """Copy what a strip holds of a square."""
    first, last = max(top, square.top), min(top + len(rows), square.bottom)
    if first < last:
        part = rows[first - top : last - top, square.left : square.right, 1]
        green[first - square.top : last - square.top] = part if part.dtype == np.uint8 else part >> 8


def _srgb(codes: NDArray[Any], embedded: bytes, profile: OutProfile) -> NDArray[np.uint8]:
    if profile.file is None:
        return np.ascontiguousarray(codes if codes.dtype == np.uint8 else cv2.convertScaleAbs(codes, alpha=1 / 257))
    kind = "rgb16" if codes.dtype == np.uint16 else "srgb"
    image = pyvips.Image.new_from_array(np.ascontiguousarray(codes)).copy(interpretation=kind)
    image.set_type(pyvips.GValue.blob_type, "icc-profile-data", embedded)
    seen = image.icc_transform(
        "srgb",
        embedded=True,
        intent=profile.intent,
        black_point_compensation=profile.intent != "absolute",
        depth=8,
    )
    return np.asarray(seen.numpy(), np.uint8)
