"""Files of photographs of our own making, for tests of reading: a sky over clay with one jar, left of the middle."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

SKY, CLAY, JAR = (176, 196, 222), (150, 110, 70), (120, 50, 30)


def scene(width: int = 480, height: int = 320, seed: int = 0) -> np.ndarray:
    """Return uint8[height, width, 3]; ``seed`` moves the jar, so that frames differ."""
    pixels = np.empty((height, width, 3), np.uint8)
    pixels[:] = SKY
    pixels[height // 2 :] = CLAY
    left = int(width * (0.15 + 0.02 * (seed % 20)))
    pixels[height // 4 : height * 5 // 8, left : left + width // 5] = JAR
    return pixels


def exif(orientation: int | None = None, own: dict[int, Any] | None = None, camera: str = "Clay One") -> Image.Exif:
    """Return an Exif block: IFD0 with orientation and camera, the Exif directory with ``own`` tags."""
    block = Image.Exif()
    block[0x010F], block[0x0110] = "Hillside", camera
    if orientation is not None:
        block[0x0112] = orientation
    block.get_ifd(0x8769).update(own or {})
    return block


def save(path: Path, pixels: np.ndarray | None = None, **options: Any) -> Path:
    """Write pixels (by default ``scene()``) in the format of the name."""
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(scene() if pixels is None else pixels).save(path, **options)
    return path


def png_header(width: int, height: int) -> bytes:
    """Return a PNG that claims a size and holds next to nothing (W3C PNG, third edition, 11.2.1)."""
    import zlib  # noqa: PLC0415 - for this builder alone

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b"")
    )


def with_mpf(primary: bytes, preview: bytes, kind: int = 0x010002, order: str = "<") -> bytes:
    """Return a JPEG with a second one behind it, listed in an APP2 "MPF" segment (CIPA DC-007, 5.2).

    The segment stands right behind SOI. ``kind`` : MP type of the second picture; 0x010002 = large thumbnail, full HD.
    """
    mark = {"<": b"II*\0", ">": b"MM\0*"}[order]
    body_size = 4 + 8 + (2 + 3 * 12 + 4) + 2 * 16  # "MPF\0", TIFF header, MP index directory, two entries
    base = 2 + 4 + 4  # of the TIFF header: behind SOI, marker and length, "MPF\0"
    whole = len(primary) + 4 + body_size
    tags = struct.pack(order + "HHI4s", 0xB000, 7, 4, b"0100")
    tags += struct.pack(order + "HHII", 0xB001, 4, 1, 2)
    tags += struct.pack(order + "HHII", 0xB002, 7, 32, 8 + 2 + 36 + 4)
    entries = struct.pack(order + "IIIHH", 0x030000, whole, 0, 0, 0)
    entries += struct.pack(order + "IIIHH", kind, len(preview), whole - base, 0, 0)
    index = (
        mark + struct.pack(order + "I", 8) + struct.pack(order + "H", 3) + tags + struct.pack(order + "I", 0) + entries
    )
    segment = b"\xff\xe2" + struct.pack(">H", 2 + 4 + len(index)) + b"MPF\0" + index
    return primary[:2] + segment + primary[2:] + preview


def dng(
    preview: bytes,
    preview_size: tuple[int, int],
    size: tuple[int, int] = (256, 192),
    orientation: int = 1,
    *,
    taken: bool = True,
) -> bytes:
    """Return a small DNG: a JPEG preview in IFD0 and 16-bit Bayer samples in a sub-directory (DNG 1.4, chapter 2).

    Without ``taken`` it has no Exif directory, and so no time.
    """
    width, height = size
    raw = (np.indices((height, width)).sum(0) * 40 + 2000).astype("<u2").tobytes()
    matrix = [(6, 10), (-1, 10), (-1, 10), (-4, 10), (12, 10), (2, 10), (-1, 10), (2, 10), (6, 10)]
    blobs: list[bytes] = []
    at = 8

    def put(data: bytes) -> int:
        nonlocal at
        place = at
        padded = data + b"\0" * (len(data) % 2)
        blobs.append(padded)
        at += len(padded)
        return place

    def directory(tags: list[tuple[int, int, int, bytes]]) -> int:
        rows = b""
        for tag, kind, count, data in sorted(tags):
            value = data.ljust(4, b"\0") if len(data) <= 4 else struct.pack("<I", put(data))
            rows += struct.pack("<HHI", tag, kind, count) + value
        return put(struct.pack("<H", len(tags)) + rows + struct.pack("<I", 0))

    def short(tag: int, *values: int) -> tuple[int, int, int, bytes]:
        return tag, 3, len(values), struct.pack(f"<{len(values)}H", *values)

    def long(tag: int, *values: int) -> tuple[int, int, int, bytes]:
        return tag, 4, len(values), struct.pack(f"<{len(values)}I", *values)

    def text(tag: int, value: bytes) -> tuple[int, int, int, bytes]:
        return tag, 2, len(value), value

    sensor = directory(
        [
            long(254, 0), long(256, width), long(257, height), short(258, 16), short(259, 1), short(262, 32803),
            long(273, put(raw)), short(277, 1), long(278, height), long(279, len(raw)), short(33421, 2, 2),
            (33422, 1, 4, bytes([0, 1, 1, 2])), long(50714, 0), long(50717, 65535),
        ]
    )  # fmt: skip
    own = directory([text(0x9003, b"2026:05:02 09:10:11\0"), (0x829D, 5, 1, struct.pack("<II", 28, 10))])
    top = [
        long(254, 1), long(256, preview_size[0]), long(257, preview_size[1]), short(258, 8, 8, 8), short(259, 7),
        short(262, 6), text(271, b"Hillside\0"), text(272, b"Clay One\0"), short(274, orientation), short(277, 3),
        long(278, preview_size[1]), long(330, sensor), (50706, 1, 4, bytes([1, 4, 0, 0])),
        text(50708, b"Hillside Clay One\0"),
        (50721, 10, 9, b"".join(struct.pack("<ii", *pair) for pair in matrix)),
        (50728, 5, 3, struct.pack("<6I", 1, 2, 1, 1, 2, 3)), short(50778, 21),
    ]  # fmt: skip
    if taken:
        top.append(long(0x8769, own))
    if preview:
        top += [long(273, put(preview)), long(279, len(preview))]
    first = directory(top)
    return b"II*\0" + struct.pack("<I", first) + b"".join(blobs)
