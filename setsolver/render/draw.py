"""From an original to the pixels of a print: resampled, toned, sharpened, tile by tile, on as many threads as asked."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from math import ceil, floor
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.toning import Toning
from setsolver.render import filtering
from setsolver.render.average import averaged
from setsolver.render.dress import PLAIN_DRESS, Dress
from setsolver.render.grade import Grade, Target, as_it_is
from setsolver.render.original import Original, Region
from setsolver.render.resample import Grid, Tile, aligned, padded, reach, sampled, tiles_of
from setsolver.render.room import Room
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


def drawn(  # noqa: PLR0913 - what, where, how, and who waits for it
    original: Original,
    grid: Grid,
    toning: Toning,
    sharpening: Sharpening,
    target: Target = "srgb",
    *,
    threads: int = 1,
    heed: Callable[[], None] = lambda: None,
    into: Room | None = None,
    dress: Dress = PLAIN_DRESS,
) -> NDArray[Any]:
    """Return a print's codes; [height, width, 3], uint16 for "srgb", uint8 for "srgb8", int16 for "d50".

    heed : called between tiles; what it raises ends the drawing. into : where they lie, until it is drawn into again.
    dress : falloff and grain, where the look asks for them.
    """
    grade = Grade(original.curves.matrix, toning, sharpening, target)
    result = (into or Room()).codes("print", (grid.height, grid.width, 3), grade.dtype)
    waiting = iter(tuple(tiles_of(grid.width, grid.height)))  # each thread takes the next: a task a tile takes longer

    def work() -> None:
        room = Room()
        try:
            for tile in waiting:
                heed()
                wide = tile.grown(grade.margin)
                light = _light(original, grid, wide, room)
                dress.lit(light, grid, wide)
                grade.codes(light, room, result, tile.top, tile.left, dress.grained(light[0], grid, wide))
        finally:
            _emptied(waiting)

    with ThreadPoolExecutor(threads) as pool:
        try:
            for working in [pool.submit(work) for _ in range(threads)]:
                working.result()
        finally:
            _emptied(waiting)
    return result


def _emptied(waiting: Iterator[Tile]) -> None:
    """Leave no tile to begin: where one failed, or nobody waits for the print any more, all threads end."""
    deque(waiting, maxlen=0)


def untoned(original: Original, grid: Grid) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of a grid as the original has it; float32[height, width, 3]. For small pictures.

    Where the grid is much coarser than the original, its codes are averaged first, as in a preview.
    """
    original, grid = _coarser(original, grid)
    lab = np.empty((grid.height, grid.width, 3), np.float32)
    room = Room()
    for tile in tiles_of(grid.width, grid.height):
        found = as_it_is(_light(original, grid, tile, room), original.curves.matrix, room)
        lab[tile.top : tile.bottom, tile.left : tile.right] = cv2.merge(list(found))
    return lab


def _coarser(original: Original, grid: Grid) -> tuple[Original, Grid]:
    """Return both by a whole number coarser, so that about two pixels of the original are left to one of the grid."""
    by = int(min(grid.scale) / _LEFT)
    if by < 2:
        return original, grid
    left, top = (-(-corner // by) for corner in original.corner)
    x, y = left * by - original.corner[0], top * by - original.corner[1]
    rows, columns = ((side - start) // by for side, start in zip(original.codes.shape, (y, x), strict=False))
    codes = averaged(original.codes, by, (x, y), (columns, rows))
    width, height = original.width // by, original.height // by
    origin, across, down = ((a / by, b / by) for a, b in (grid.origin, grid.across, grid.down))
    return (
        Original(codes, (left, top), width, height, original.curves, original.note),
        Grid(origin, across, down, grid.width, grid.height),
    )


_LEFT: Final = 1.5
"""Least pixels of the original to one of a small picture that are left to the kernel."""


def _light(original: Original, grid: Grid, tile: Tile, room: Room) -> NDArray[np.float32]:
    """Return linear light in the original's own primaries; float32[3, rows, columns], in ``room``."""
    spare = reach(grid)
    least_x, least_y, most_x, most_y = grid.bounds(tile)
    wanted = floor(least_x) - spare, floor(least_y) - spare, ceil(most_x) + spare, ceil(most_y) + spare
    if grid.whole:
        wanted = round(least_x), round(least_y), round(most_x), round(most_y)
    left, top, right, bottom = wanted
    rows = bottom - top
    light = room.floats("light", (3, right - left, aligned(rows)))
    x, y = left - original.corner[0], top - original.corner[1]
    height, width = original.codes.shape[:2]
    if x >= 0 and y >= 0 and x + right - left <= width and y + rows <= height:
        filtering.lit(original.codes, y, x, rows, original.curves.light, light)
    else:
        filtering.lit(padded(original.codes, original.corner, wanted), 0, 0, rows, original.curves.light, light)
    return sampled(light, rows, wanted[:2], grid, tile, room)
