"""Detail: sharpness where it matters, motion blur told from shallow focus, and grain."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import DETAIL_GRID, Detail
from setsolver.features.edges import BlurMap

__all__ = ["measure_detail", "sharpness_in", "sharpness_tiles"]

_HALF_BLUR: Final = 1.1
"""Blur of an edge, in preview pixels, at which sharpness is one half.

On a print 30 cm wide 1.1 pixels of 1280 are a quarter of a millimetre, two and a half times what an eye resolves at 35
cm (one minute of arc). Area averaging and camera sharpening leave 0.3 to 0.5 pixels.
"""
_LEAST_EDGES: Final = 12
"""Fewest edge pixels by which a tile is judged."""
_BEST_TILES: Final = 4
_DIRECTIONS: Final = 12
_LEAST_DIRECTIONS: Final = 5
"""Fewest directions that must have enough edges."""
_MOVED_BLUR: Final = 1.0
"""Blur across the movement, in preview pixels, below which nothing is called motion."""
_MOVED_EDGES: Final = 16
"""Fewest edge pixels by which a direction is judged."""
_MIDDLES: Final = (np.arange(_DIRECTIONS) + 0.5) * np.pi / _DIRECTIONS
_WAVES: Final = np.stack([np.ones(_DIRECTIONS), np.cos(2 * _MIDDLES), np.sin(2 * _MIDDLES)], axis=1)


def measure_detail(edges: BlurMap, tiles: NDArray[np.float32], subject: Box, grain: float) -> Detail:
    """Return sharpness at the sharpest tiles and the subject, motion, grain, and sharpness by tile.

    Half of the sharpness comes from the four sharpest tiles, half from the subject (but no less than half of the best:
    a subject without edges is not soft). Shallow focus is therefore no fault.

    Parameters
    ----------
    edges : blur of the preview. tiles : of ``sharpness_tiles``. subject : what matters. grain : in L*.
    """
    best = float(np.mean(np.sort(tiles.ravel())[-_BEST_TILES:]))
    return Detail(
        sharpness=0.5 * best + 0.5 * max(sharpness_in(edges, subject), 0.5 * best),
        motion=_motion(edges),
        grain=grain,
        tiles=tiles,
    )


def _as_sharpness(blur: NDArray[np.floating] | np.floating) -> NDArray[np.float64]:
    return 1.0 / (1.0 + (np.asarray(blur, np.float64) / _HALF_BLUR) ** 2)


def sharpness_in(edges: BlurMap, box: Box) -> float:
    """Return sharpness, 0 to 1, of the sharpest quarter of edges in a box; 0 where it has none."""
    height, width = edges.shape
    inside = (edges.rows >= box.y * height) & (edges.rows < box.bottom * height)
    inside &= (edges.columns >= box.x * width) & (edges.columns < box.right * width)
    if np.count_nonzero(inside) < _LEAST_EDGES:
        return 0.0
    return float(_as_sharpness(np.percentile(edges.blur[inside], 25)))


def sharpness_tiles(edges: BlurMap) -> NDArray[np.float32]:
    """Return the sharpness of each tile's sharpest quarter of edges; float32[8, 8], 0 where a tile has too few."""
    height, width = edges.shape
    cells = DETAIL_GRID[0] * DETAIL_GRID[1]
    tile = edges.rows * DETAIL_GRID[0] // height * DETAIL_GRID[1] + edges.columns * DETAIL_GRID[1] // width
    blur, counts, first = _sorted_by(tile, edges.blur, cells)
    told = counts >= _LEAST_EDGES
    tiles = np.zeros(cells, np.float32)
    tiles[told] = _as_sharpness(blur[(first + counts // 4)[told]])
    return tiles.reshape(DETAIL_GRID)


def _sorted_by(
    part: NDArray[np.int64], blur: NDArray[np.float32], parts: int
) -> tuple[NDArray[np.float32], NDArray[np.int64], NDArray[np.int64]]:
    """Return blur sorted within parts, how many each part has, and where each begins.

    One sort of both together: a part counts 64 and blur is below 8, so a double holds their sum to the last bit.
    """
    counts = np.bincount(part, minlength=parts)
    both = np.sort(part * 64.0 + blur) - np.repeat(np.arange(parts) * 64.0, counts)
    return both.astype(np.float32), counts, np.cumsum(counts) - counts


def _motion(edges: BlurMap) -> float:
    """Return how far the blur has one direction: 0 all alike, towards 1 where one direction alone is blurred.

    Defocus blurs edges of all directions alike; a straight movement adds the square of its own blur to those it
    crosses, by the cosine squared of the angle: so the squared median blur by direction is mean + swing cos 2(a - a0).
    The result is swing over mean, as far as the fit explains what differs. A picture whose edges run in few directions
    cannot be judged and gives 0.
    """
    index = np.minimum((edges.angle * np.float32(_DIRECTIONS / np.pi)).astype(np.int64), _DIRECTIONS - 1)
    values, counts, first = _sorted_by(index, edges.blur, _DIRECTIONS)
    told = counts >= _MOVED_EDGES
    if np.count_nonzero(told) < _LEAST_DIRECTIONS:
        return 0.0
    square = values[(first + counts // 2)[told]].astype(np.float64) ** 2
    waves = _WAVES[told]
    fit = np.linalg.lstsq(waves, square, rcond=None)[0]
    swing = float(np.hypot(fit[1], fit[2]))
    if fit[0] + swing < _MOVED_BLUR**2:
        return 0.0
    explained = 1.0 - float(np.var(square - waves @ fit)) / max(float(np.var(square)), 1e-9)
    return float(np.clip(swing / max(float(fit[0]), 1e-3), 0.0, 1.0) * max(0.0, explained))
