"""From an original to the pixels of a print: resampled, toned, sharpened, tile by tile, on as many threads as asked."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import linear_to_lab
from setsolver.colour.toning import Toning, toned
from setsolver.render.original import Original, Region
from setsolver.render.resample import Grid, Tile, padded, reach, sampled, tiles_of
from setsolver.render.sharpen import Sharpening, sharpened

__all__ = ["Encode", "drawn", "region_of", "untoned"]

Encode = Callable[[NDArray[np.float32]], NDArray[Any]]
"""From L*a*b* (D65), float32[h, w, 3], to codes, [h, w, 3]."""
_SPARE: Final = 8


def region_of(grid_for: Callable[[int, int], Grid]) -> Region:
    """Return what part of a frame a print needs: the grid's own, and what the kernel and sharpening look at around it.

    Parameters
    ----------
    grid_for : from the frame's width and height to the grid.
    """

    def region(width: int, height: int) -> tuple[int, int, int, int]:
        grid = grid_for(width, height)
        spare = reach(grid) + ceil(_SPARE * max(grid.scale))
        least_x, least_y, most_x, most_y = grid.bounds(Tile(0, grid.height, 0, grid.width))
        left, top = max(0, floor(least_x) - spare), max(0, floor(least_y) - spare)
        return left, top, min(width, ceil(most_x) + spare), min(height, ceil(most_y) + spare)

    return region


def drawn(
    original: Original,
    grid: Grid,
    toning: Toning,
    sharpening: Sharpening,
    encode: Encode,
    *,
    heed: Callable[[], None] = lambda: None,
) -> NDArray[Any]:
    """Return a print's codes; [height, width, 3] of what ``encode`` gives.

    heed : called between tiles; what it raises ends the drawing.
    """
    result: NDArray[Any] | None = None
    for tile in tiles_of(grid.width, grid.height):
        heed()
        lab = toned(_lab(original, grid, tile.grown(sharpening.margin)), toning)
        codes = encode(sharpened(lab, sharpening))
        if result is None:
            result = np.empty((grid.height, grid.width, 3), codes.dtype)
        result[tile.top : tile.bottom, tile.left : tile.right] = codes
    assert result is not None  # noqa: S101 - a grid has at least one pixel
    return result


def untoned(original: Original, grid: Grid) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of a grid as the original has it; float32[height, width, 3]. For small pictures."""
    return _lab(original, grid, Tile(0, grid.height, 0, grid.width))


def _lab(original: Original, grid: Grid, tile: Tile) -> NDArray[np.float32]:
    spare = reach(grid)
    least_x, least_y, most_x, most_y = grid.bounds(tile)
    wanted = floor(least_x) - spare, floor(least_y) - spare, ceil(most_x) + spare, ceil(most_y) + spare
    held = max(wanted[0], original.corner[0]), max(wanted[1], original.corner[1])
    part, corner = padded(original.light(*wanted), held, wanted)
    light = sampled(part, corner, grid, tile)
    matrix = original.curves.matrix
    if not np.array_equal(matrix, np.eye(3)):
        light = np.asarray(cv2.transform(light, matrix.astype(np.float32)), np.float32)
    return linear_to_lab(light)
