"""ICC profiles of our own making (ICC.1:2022, matrix/TRC and monochrome), for tests of colour."""

from __future__ import annotations

import struct

import numpy as np

D50 = np.array([0.9642, 1.0, 0.8249])
D65 = np.array([0.3127, 0.3290])
DISPLAY_P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
"""Primaries of SMPTE RP 431-2 with a D65 white."""
WIDE_GREEN = ((0.640, 0.330), (0.210, 0.710), (0.150, 0.060))
"""Primaries of ISO 12640-4 / the DCF optional colour space (CIPA DC-009): sRGB's but for a far green."""
SRGB = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
"""Primaries of IEC 61966-2-1."""
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
"""Cone responses of the adaptation that ICC.1 annex E prescribes."""


def to_xyz(primaries: tuple[tuple[float, float], ...]) -> np.ndarray:
    """Return the matrix from linear RGB to XYZ (D65)."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in primaries]).T
    white = np.array([D65[0] / D65[1], 1.0, (1 - D65.sum()) / D65[1]])
    return columns * np.linalg.solve(columns, white)


def adapted(matrix: np.ndarray) -> np.ndarray:
    """Return a D65 matrix brought to the profile connection space's D50."""
    white = matrix @ np.ones(3)
    scale = np.diag((BRADFORD @ D50) / (BRADFORD @ white))
    return np.linalg.inv(BRADFORD) @ scale @ BRADFORD @ matrix


def rgb_profile(primaries: tuple[tuple[float, float], ...], gamma: float) -> bytes:
    """Return a matrix/TRC display profile."""
    columns = adapted(to_xyz(primaries)).T
    tags = {name: _xyz(column) for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)}
    return _profile(b"RGB ", tags | {name: _gamma(gamma) for name in (b"rTRC", b"gTRC", b"bTRC")})


def grey_profile(gamma: float) -> bytes:
    """Return a monochrome display profile."""
    return _profile(b"GRAY", {b"kTRC": _gamma(gamma)})


def _xyz(values: np.ndarray) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(struct.pack(">i", round(value * 65536)) for value in values)


def _gamma(gamma: float) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"


def _profile(space: bytes, tags: dict[bytes, bytes]) -> bytes:
    tags = {b"desc": b"desc\0\0\0\0" + struct.pack(">I", 5) + b"made\0" + b"\0" * 79, b"wtpt": _xyz(D50)} | tags
    tags[b"cprt"] = b"text\0\0\0\0none\0\0\0\0"
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, value in tags.items():
        padded = value + b"\0" * (-len(value) % 4)
        table += name + struct.pack(">II", start + len(data), len(value))
        data += padded
    header = (
        struct.pack(">I", start + len(data)) + b"\0\0\0\0" + struct.pack(">I", 0x02400000) + b"mntr" + space + b"XYZ "
    )
    header += struct.pack(">6H", 2026, 5, 2, 9, 0, 0) + b"acsp" + b"\0" * 28
    header += b"".join(struct.pack(">i", round(value * 65536)) for value in D50)
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data
