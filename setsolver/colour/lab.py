"""sRGB, linear light and CIE L*a*b* (D65), and the CIEDE2000 difference.

Sources: IEC 61966-2-1:1999 for the transfer curve and the matrix to 4 decimals; ISO/CIE 11664-4:2019 for L*a*b*, with
the white that the matrix gives for (1, 1, 1), so that greys have a* = b* = 0 exactly; Sharma, Wu, Dalal, "The CIEDE2000
color-difference formula", Color Res. Appl. 30(1), 2005, for CIEDE2000.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "LUMINANCE",
    "TO_XYZ",
    "ciede2000",
    "lab_to_linear",
    "lab_to_srgb",
    "lightness_of_luminance",
    "linear_to_lab",
    "linear_to_srgb",
    "luminance_of_lightness",
    "srgb_to_lab",
    "srgb_to_linear",
]

TO_XYZ: Final = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE: Final = TO_XYZ.sum(axis=1)
_TO_RELATIVE_XYZ: Final = np.ascontiguousarray(TO_XYZ / _WHITE[:, None], dtype=np.float32)
_FROM_RELATIVE_XYZ: Final = np.ascontiguousarray(np.linalg.inv(TO_XYZ / _WHITE[:, None]), dtype=np.float32)
LUMINANCE: Final = TO_XYZ[1]
"""Weights of linear R, G, B in relative luminance Y."""
_EPSILON: Final = 216 / 24389  # (6/29)^3, where the cube root takes over
_KAPPA: Final = 24389 / 27  # (29/3)^3
_FOOT: Final = -_EPSILON * _KAPPA / 116
_FROM_CURVE: Final = np.array([[0, 116, 0, 116 * _FOOT - 16], [500, -500, 0, 0], [0, 200, -200, 0]], np.float32)
"""L*, a*, b* of f(X), f(Y), f(Z) that are too high by -``_FOOT`` each (see ``_curve``)."""
_TO_CURVE: Final = np.array(
    [[1 / 116, 1 / 500, 0, 16 / 116], [1 / 116, 0, 0, 16 / 116], [1 / 116, 0, -1 / 200, 16 / 116]], np.float32
)
_EPSILON_ROOT: Final = np.float32(6 / 29)


def _decode(codes: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)


_LINEAR: Final = _decode(np.arange(256) / 255).astype(np.float32)


def srgb_to_linear(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return linear light, 0 to 1, of 8-bit sRGB codes; same shape, float32."""
    linear: NDArray[np.float32] = cv2.LUT(rgb, _LINEAR) if rgb.ndim == 3 else _LINEAR[rgb]
    return linear


def linear_to_srgb(linear: NDArray[np.floating]) -> NDArray[np.uint8]:
    """Return 8-bit sRGB codes of linear light; values outside 0 to 1 are clipped. Same shape."""
    light = np.clip(linear, 0.0, 1.0)
    codes = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    rounded: NDArray[np.uint8] = np.rint(codes * 255).astype(np.uint8)
    return rounded


def linear_to_lab(linear: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of linear sRGB; float32[H, W, 3], L* 0 to 100."""
    lab: NDArray[np.float32] = cv2.transform(_curve(cv2.transform(linear, _TO_RELATIVE_XYZ)), _FROM_CURVE)
    return lab


def _curve(ratio: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the L*a*b* compression f(t) of ISO/CIE 11664-4, less ``_FOOT``, of an array [H, W, 3] that it uses up.

    A cube root of what is above ``_EPSILON`` and a line below: the sum of both, each held where it meets the other,
    takes a third of the time of choosing pixel by pixel.
    """
    flat = ratio.reshape(len(ratio), -1)
    root = cv2.max(flat, _EPSILON)
    np.cbrt(root, out=root)
    low = cv2.threshold(flat, _EPSILON, 0, cv2.THRESH_TRUNC, flat)[1]
    curve: NDArray[np.float32] = cv2.scaleAdd(low, _KAPPA / 116, root, root).reshape(ratio.shape)
    return curve


def srgb_to_lab(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of 8-bit sRGB; uint8[H, W, 3] to float32[H, W, 3]."""
    return linear_to_lab(srgb_to_linear(rgb))


def lab_to_srgb(lab: NDArray[np.floating]) -> NDArray[np.uint8]:
    """Return 8-bit sRGB of L*a*b* (D65); colours outside sRGB are clipped. [H, W, 3]."""
    return linear_to_srgb(lab_to_linear(np.asarray(lab, np.float32)))


def lab_to_linear(lab: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return linear sRGB of L*a*b* (D65), not clipped; float32[H, W, 3]."""
    f = np.asarray(cv2.transform(lab, _TO_CURVE), np.float32)
    ratio = np.where(f > _EPSILON_ROOT, f * f * f, f * np.float32(116 / _KAPPA) - np.float32(16 / _KAPPA))
    linear: NDArray[np.float32] = cv2.transform(ratio, _FROM_RELATIVE_XYZ)
    return linear


def lightness_of_luminance(luminance: ArrayLike) -> NDArray[np.float64]:
    """Return L* of relative luminance Y (white = 1)."""
    y = np.asarray(luminance, dtype=np.float64)
    return np.where(y > _EPSILON, 116 * np.cbrt(y) - 16, _KAPPA * y)


def luminance_of_lightness(lightness: ArrayLike) -> NDArray[np.float64]:
    """Return relative luminance Y (white = 1) of L*; a ratio of two is an exposure ratio, log2 of it an EV."""
    ell = np.asarray(lightness, dtype=np.float64)
    return np.where(ell > _KAPPA * _EPSILON, ((ell + 16) / 116) ** 3, ell / _KAPPA)


def ciede2000(first: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return CIEDE2000 differences (kL = kC = kH = 1) between L*a*b* colours.

    Parameters
    ----------
    first, second : [..., 3], broadcast against each other.

    Notes
    -----
    Equation numbers of Sharma, Wu, Dalal (2005) stand beside the steps.
    """
    one, two = np.broadcast_arrays(np.asarray(first, np.float64), np.asarray(second, np.float64))
    mean_chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2  # (2), (3)
    stretch = 1.5 - 0.5 * np.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7))  # 1 + G of (4)
    c1, h1 = _polar(one, stretch)
    c2, h2 = _polar(two, stretch)
    grey = c1 * c2 == 0
    turn = np.where(grey, 0.0, (h2 - h1 + 180) % 360 - 180)  # (10), in [-180, 180)
    turn = np.where((turn == -180) & (h2 > h1), 180.0, turn)
    delta_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)  # (11)
    apart = np.abs(h1 - h2) > 180
    hue = np.where(grey, h1 + h2, (h1 + h2 + np.where(apart, np.where(h1 + h2 < 360, 360, -360), 0)) / 2)  # (14)
    return _weighted(one[..., 0], two[..., 0], c1, c2, delta_hue, hue)


def _polar(lab: NDArray[np.float64], stretch: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return C' (6) and h' in degrees, 0 to 360 (7)."""
    a = lab[..., 1] * stretch
    return np.hypot(a, lab[..., 2]), np.degrees(np.arctan2(lab[..., 2], a)) % 360


def _weighted(
    l1: NDArray[np.float64],
    l2: NDArray[np.float64],
    c1: NDArray[np.float64],
    c2: NDArray[np.float64],
    delta_hue: NDArray[np.float64],
    hue: NDArray[np.float64],
) -> NDArray[np.float64]:
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2  # (12), (13)
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )  # (15)
    rotation = -np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))) * 2
    rotation *= np.sqrt(chroma**7 / (chroma**7 + 25.0**7))  # (16), (17), (21)
    square = (lightness - 50) ** 2
    dl = (l2 - l1) / (1 + 0.015 * square / np.sqrt(20 + square))  # (8), (18)
    dc = (c2 - c1) / (1 + 0.045 * chroma)  # (9), (19)
    dh = delta_hue / (1 + 0.015 * chroma * t)  # (20)
    result: NDArray[np.float64] = np.sqrt(dl**2 + dc**2 + dh**2 + rotation * dc * dh)  # (22)
    return result
