"""ICC profiles that are three curves and a matrix: read exactly, so that light is decoded without rounding.

Sources: ICC.1:2022, 7.2 (header), 7.3 (tag table), 9.2 (colorants, tone curves), 10.6 (curveType), 10.18
(parametricCurveType), 10.31 (XYZType); Lindbloom's Bradford matrix as in ICC.1:2022, Annex E.3.
"""

from __future__ import annotations

import struct
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import TO_XYZ

__all__ = ["BRADFORD_TO_D50", "Curves", "d50_matrix", "space_of", "srgb_curves", "to_srgb_light"]

_BRADFORD: Final = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_D50: Final = np.array([0.9642, 1.0, 0.8249])
"""The white of the profile connection space (ICC.1:2022, 7.2.16)."""
_HEADER: Final = 128
_PARAMETERS: Final = (1, 3, 4, 5, 7)


def _adapted(source: NDArray[np.float64], target: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the linear Bradford change from one white's XYZ to another's."""
    gains = (_BRADFORD @ target) / (_BRADFORD @ source)
    changed: NDArray[np.float64] = np.linalg.inv(_BRADFORD) @ (gains[:, None] * _BRADFORD)
    return changed


BRADFORD_TO_D50: Final = _adapted(TO_XYZ.sum(axis=1), _D50)
"""XYZ under this package's D65 white to XYZ under D50."""
_FROM_D50: Final = np.linalg.inv(BRADFORD_TO_D50 @ TO_XYZ)


class Curves(NamedTuple):
    """How codes of three channels become light.

    light : float32[3, levels], linear light of each code and channel. matrix : float64[3, 3], to linear sRGB (D65).
    """

    light: NDArray[np.float32]
    matrix: NDArray[np.float64]


def space_of(profile: bytes) -> str:
    """Return the colour space that a profile is for, such as "RGB", "GRAY" or "CMYK"; "" for no profile at all."""
    return profile[16:20].decode("latin-1").strip() if profile[36:40] == b"acsp" else ""


def to_srgb_light(profile: bytes, levels: int) -> Curves | None:
    """Return curves and matrix of a profile for RGB, None where it is none of that kind (look-up tables, grey).

    Parameters
    ----------
    levels : codes that a channel has, 256 or 65536.

    Raises
    ------
    ValueError
        Where the profile is damaged.
    """
    if space_of(profile) != "RGB" or profile[20:24] != b"XYZ ":
        return None
    tags = _tags(profile)
    if "A2B0" in tags or any(name not in tags for name in ("rTRC", "gTRC", "bTRC", "rXYZ", "gXYZ", "bXYZ")):
        return None
    at = np.arange(levels) / (levels - 1)
    light = np.stack([_curve(tags[f"{channel}TRC"], at) for channel in "rgb"]).astype(np.float32)
    colorants = np.array([_xyz(tags[f"{channel}XYZ"]) for channel in "rgb"]).T
    return Curves(light, _FROM_D50 @ colorants)


def _tags(profile: bytes) -> dict[str, bytes]:
    try:
        (count,) = struct.unpack_from(">I", profile, _HEADER)
        rows = [struct.unpack_from(">4sII", profile, _HEADER + 4 + 12 * i) for i in range(min(count, 100))]
    except struct.error as error:
        raise ValueError("its table of tags is cut off") from error
    return {name.decode("latin-1"): profile[start : start + size] for name, start, size in rows}


def _xyz(tag: bytes) -> tuple[float, ...]:
    if tag[:4] != b"XYZ " or len(tag) < 20:
        raise ValueError("a colorant is no XYZ")
    return tuple(value / 65536 for value in struct.unpack_from(">3i", tag, 8))


def _curve(tag: bytes, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a tone curve's values, 0 to 1, at codes from 0 to 1."""
    try:
        if tag[:4] == b"curv":
            (count,) = struct.unpack_from(">I", tag, 8)
            return _sampled(np.frombuffer(tag, ">u2", count, 12), at)
        if tag[:4] == b"para":
            (kind,) = struct.unpack_from(">H", tag, 8)
            return _parametric(kind, [v / 65536 for v in struct.unpack_from(f">{_PARAMETERS[kind]}i", tag, 12)], at)
    except (struct.error, IndexError, ValueError) as error:
        raise ValueError("a tone curve is cut off or of an unknown kind") from error
    raise ValueError("a tone curve is of an unknown kind")


def _sampled(samples: NDArray[np.uint16], at: NDArray[np.float64]) -> NDArray[np.float64]:
    if len(samples) == 0:
        return at
    if len(samples) == 1:
        return np.asarray(at ** (float(samples[0]) / 256))
    return np.interp(at, np.linspace(0, 1, len(samples)), samples / 65535)


def _parametric(kind: int, numbers: list[float], at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return Table 68 of ICC.1:2022: Y = (aX + b)^g + e above d, cX + f below; what is missing is as in kind 0."""
    g, a, b, c, d, e, f = (*numbers, *[1.0, 0.0, 0.0, 0.0, 0.0, 0.0][len(numbers) - 1 :])[:7]
    if kind in (1, 2):  # the foot is flat, from where the power begins
        d, e, f = (-b / a if a else 0.0), c if kind == 2 else 0.0, c if kind == 2 else 0.0
        c = 0.0
    power = np.maximum(a * at + b, 0.0) ** g + e
    return np.clip(np.where(at >= d, power, c * at + f), 0.0, 1.0)


def srgb_curves(levels: int) -> Curves:
    """Return how sRGB codes become light (IEC 61966-2-1)."""
    at = np.arange(levels) / (levels - 1)
    light = np.where(at <= 0.04045, at / 12.92, ((at + 0.055) / 1.055) ** 2.4).astype(np.float32)
    return Curves(np.stack([light] * 3), np.eye(3))


def d50_matrix(to_xyz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the matrix to linear sRGB of primaries given by their matrix to XYZ under D50."""
    matrix: NDArray[np.float64] = _FROM_D50 @ to_xyz
    return matrix
