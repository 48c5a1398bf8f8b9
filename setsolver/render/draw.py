"""From an original to the pixels of a print: resampled, toned, sharpened, tile by tile, on as many threads as asked."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from math import ceil, floor
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import linear_to_lab
from setsolver.colour.toning import Toning
from setsolver.render.grade import Grade, Target
from setsolver.render.original import Original, Region
from setsolver.render.resample import Grid, Tile, padded, reach, sampled, tiles_of
from setsolver.render.sharpen import Sharpening

__all__ = ["drawn", "region_of", "untoned"]

_SPARE: Final = 8
"""Pixels of the print around it that sharpening may look at; the coarsest looks at so many."""


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
    target: Target = "srgb",
    *,
    threads: int = 1,
    heed: Callable[[], None] = lambda: None,
) -> NDArray[Any]:
    """Return a print's codes; [height, width, 3], uint16 for "srgb", int16 for "d50".

    heed : called between tiles; what it raises ends the drawing.
    """
    grade = Grade(original.curves.matrix, toning, sharpening, target)
    result = np.empty((grid.height, grid.width, 3), np.uint16 if target == "srgb" else np.int16)

    def draw(tile: Tile) -> None:
        heed()
        light = _light(original, grid, tile.grown(grade.margin))
        result[tile.top : tile.bottom, tile.left : tile.right] = grade.codes(light)

    with ThreadPoolExecutor(threads) as pool:
        for _ in pool.map(draw, tiles_of(grid.width, grid.height)):
            pass
    return result


def untoned(original: Original, grid: Grid) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of a grid as the original has it; float32[height, width, 3]. For small pictures."""
    lab = np.empty((grid.height, grid.width, 3), np.float32)
    side = max(16, _SMALL_TILE // max(1, ceil(max(grid.scale))))
    for tile in tiles_of(grid.width, grid.height, side):
        light = _light(original, grid, tile)
        if not np.array_equal(original.curves.matrix, np.eye(3)):
            light = np.asarray(cv2.transform(light, original.curves.matrix.astype(np.float32)), np.float32)
        lab[tile.top : tile.bottom, tile.left : tile.right] = linear_to_lab(light)
    return lab


_SMALL_TILE: Final = 1024
"""Pixels of the original that a tile of a small picture spans along a side."""


def _light(original: Original, grid: Grid, tile: Tile) -> NDArray[np.float32]:
    """Return linear light in the original's own primaries."""
    spare = reach(grid)
    least_x, least_y, most_x, most_y = grid.bounds(tile)
    wanted = floor(least_x) - spare, floor(least_y) - spare, ceil(most_x) + spare, ceil(most_y) + spare
    held = max(wanted[0], original.corner[0]), max(wanted[1], original.corner[1])
    part, corner = padded(original.light(*wanted), held, wanted)
    return sampled(part, corner, grid, tile)
