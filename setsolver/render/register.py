"""Where the picture on a finished file lies, against its crop on the original: measured, not assumed.

Some squares of the file are laid over the same places of the original, brought there by another way than the print's
own (OpenCV's affine warp, in code values), and shifted against each other by phase correlation (Kuglin, Hines, Proc.
IEEE Cybernetics and Society, 1975), which tells parts of a pixel.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.render.original import Original
from setsolver.render.resample import Grid, Tile

__all__ = ["shift_of", "squares_of"]

_SIDE: Final = 192
_LEAST: Final = 48
"""Pixels of a square's side, at most and at least."""
_SURE: Final = 0.25
"""Response of the correlation, 0 to 1, from which a square says anything."""
_BUSY: Final = 4.0
"""Standard deviation of detail, in 8-bit codes, that a square needs to say anything."""


def squares_of(width: int, height: int) -> tuple[Tile, ...]:
    """Return the squares of a print that are looked at; none where it is too small to say anything."""
    side = min(_SIDE, height // 2, width // 2)
    if side < _LEAST:
        return ()
    tops, lefts = (np.linspace(0, most - side, 3).astype(int).tolist() for most in (height, width))
    return tuple(Tile(top, top + side, left, left + side) for top in tops for left in lefts)


def shift_of(green: Mapping[Tile, NDArray[Any]], original: Original, grid: Grid) -> float | None:
    """Return the median distance, in pixels of the print, of squares of a print from their places; None: cannot tell.

    Parameters
    ----------
    green : [h, w] by square, green codes of the print that was drawn on ``grid``. The tone may differ: edges count, not
    levels.
    """
    shifts = [_shift(part, original, grid, tile) for tile, part in green.items()]
    found = [shift for shift in shifts if shift is not None]
    return float(np.median(found)) if found else None


def _shift(green: NDArray[Any], original: Original, grid: Grid, tile: Tile) -> float | None:
    ours = green.astype(np.float32)
    theirs = _warped(original, grid, tile)
    if theirs is None:
        return None
    first, second = _detail(ours), _detail(theirs)
    if second.std() < _BUSY or first.std() == 0:
        return None
    window = cv2.createHanningWindow(first.shape[::-1], cv2.CV_32F)
    (x, y), response = cv2.phaseCorrelate(first / first.std(), second / second.std(), window)
    return float(np.hypot(x, y)) if response > _SURE else None


def _warped(original: Original, grid: Grid, tile: Tile) -> NDArray[np.float32] | None:
    """Return the square of the original, in 8-bit green, by OpenCV; None where it reaches beyond what is held."""
    least_x, least_y, most_x, most_y = grid.bounds(tile)
    x, y = int(least_x) - 2 - original.corner[0], int(least_y) - 2 - original.corner[1]
    right, bottom = int(most_x) + 3 - original.corner[0], int(most_y) + 3 - original.corner[1]
    height, width = original.codes.shape[:2]
    if x < 0 or y < 0 or right > width or bottom > height:
        return None
    part = original.codes[y:bottom, x:right, 1].astype(np.float32) / (1 if original.codes.dtype == np.uint8 else 257)
    scale = max(grid.scale)
    if scale > 1:
        part = cv2.GaussianBlur(part, (0, 0), 0.5 * scale)
    start = np.array(grid.origin) - original.corner - (x, y)
    across, down = np.array(grid.across), np.array(grid.down)
    first = start + (tile.left + 0.5) * across + (tile.top + 0.5) * down - 0.5
    change = np.stack([across, down, first], axis=1).astype(np.float64)
    size = tile.right - tile.left, tile.bottom - tile.top
    return np.asarray(cv2.warpAffine(part, change, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP), np.float32)


def _detail(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(picture - cv2.GaussianBlur(picture, (0, 0), 4.0), np.float32)
