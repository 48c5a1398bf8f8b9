"""Where the picture on a finished file lies, against its crop on the original: measured, not assumed.

Some squares of the file are laid over the same places of the original, brought there by another way than the print's
own (OpenCV's affine warp, in code values), and shifted against each other by phase correlation (Kuglin, Hines, Proc.
IEEE Cybernetics and Society, 1975). That takes a soft edge which the print's tone makes brighter for one that has
moved by parts of a pixel. So those are found by least squares on the gradient (Lucas, Kanade, Proc. DARPA Image
Understanding, 1981) together with the curve from the original's levels to the print's; a square in which the one could
be the other, such as a lone edge, says nothing.
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
_STEPS: Final = 4
"""Steps of least squares, each from the place that the last one found."""
_FAR: Final = 1.5
"""Pixels from what correlation says beyond which least squares has lost its way."""
_POWERS: Final = 5
"""Of the level, in the curve of tone."""
_TELLING: Final = 0.1
"""Share of the gradient's power that tone must leave in the weaker direction, or a square says nothing."""
Pair = tuple[float, float]


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
    if response <= _SURE:
        return None
    found = _refined(ours, (-x, -y), original, grid, tile)
    return None if found is None else float(np.hypot(*found))


def _refined(ours: NDArray[np.float32], start: Pair, original: Original, grid: Grid, tile: Tile) -> Pair | None:
    """Return by how many columns and rows a square lies off, beginning where correlation says; None: cannot tell."""
    at = start
    for _ in range(_STEPS):
        theirs = _warped(original, grid, tile, at)
        if theirs is None:
            return None
        step = _step(ours, theirs)
        if step is None:
            return None
        at = at[0] + step[0], at[1] + step[1]
    return at if np.hypot(at[0] - start[0], at[1] - start[1]) < _FAR else start


def _step(ours: NDArray[np.float32], theirs: NDArray[np.float32]) -> Pair | None:
    """Return by how much the original's square is to move, what a change of tone explains left out of both."""
    down, across = np.gradient(theirs.astype(np.float64))
    spread = max(1e-6, float(theirs.std()))
    level = (theirs.ravel().astype(np.float64) - float(theirs.mean())) / spread
    powers = np.stack([level**power for power in range(_POWERS)], axis=1)
    curve, *_ = np.linalg.lstsq(powers, ours.ravel(), rcond=None)
    steepness = powers[:, :-1] @ (curve[1:] * np.arange(1, _POWERS)) / spread
    slope = np.stack([across.ravel(), down.ravel()], axis=1) * steepness[:, None]
    tone, _ = np.linalg.qr(powers)
    left = slope - tone @ (tone.T @ slope)
    weakest = float(np.linalg.svd(left, compute_uv=False)[-1]) ** 2
    if weakest < _TELLING * float((slope**2).sum()) / 2:
        return None
    step, *_ = np.linalg.lstsq(left, ours.ravel() - powers @ curve, rcond=None)
    return float(step[0]), float(step[1])


def _warped(original: Original, grid: Grid, tile: Tile, off: Pair = (0.0, 0.0)) -> NDArray[np.float32] | None:
    """Return the square of the original, in 8-bit green, by OpenCV; None where it reaches beyond what is held.

    off : columns and rows of the print by which it is looked for elsewhere.
    """
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
    first = start + (tile.left + off[0] + 0.5) * across + (tile.top + off[1] + 0.5) * down - 0.5
    change = np.stack([across, down, first], axis=1).astype(np.float64)
    size = tile.right - tile.left, tile.bottom - tile.top
    return np.asarray(cv2.warpAffine(part, change, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP), np.float32)


def _detail(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(picture - cv2.GaussianBlur(picture, (0, 0), 4.0), np.float32)
