"""Detail: sharpness where it matters, motion blur told from shallow focus, and grain."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import DETAIL_GRID, Detail
from setsolver.features.edges import BlurMap
from setsolver.features.grain import grain

__all__ = ["measure_detail", "sharpness_in", "sharpness_tiles"]

_HALF_BLUR: Final = 1.3
"""Blur of an edge, in preview pixels, at which sharpness is one half: soft beside a sharp print of the preview's size.

Area averaging leaves about 0.7 of a step, camera sharpening 0.4; the fourth power keeps both near 1 and yet never
equal, so that frames of one burst can always be ranked.
"""
_LEAST_EDGES: Final = 12
"""Fewest edge pixels by which a tile is judged."""
_BEST_TILES: Final = 4
_DIRECTIONS: Final = 8
_MOVED_BLUR: Final = 1.0
"""Blur, in preview pixels, below which nothing is called motion."""
_MOVED_EDGES: Final = 60
"""Fewest edge pixels by which a direction is judged."""


def measure_detail(grey: NDArray[np.uint8], edges: BlurMap, tiles: NDArray[np.float32], subject: Box) -> Detail:
    """Return sharpness at the sharpest tiles and the subject, motion, grain, and sharpness by tile.

    Half of the sharpness comes from the four sharpest tiles, half from the subject (but no less than half of the best:
    a subject without edges is not soft). Shallow focus is therefore no fault.

    Parameters
    ----------
    grey : uint8[H, W], the preview. edges : its blur. tiles : of ``sharpness_tiles``. subject : what matters.
    """
    best = float(np.mean(np.sort(tiles.ravel())[-_BEST_TILES:]))
    return Detail(
        sharpness=0.5 * best + 0.5 * max(sharpness_in(edges, subject), 0.5 * best),
        motion=_motion(edges),
        grain=grain(grey),
        tiles=tiles,
    )


def _as_sharpness(blur: NDArray[np.floating] | np.floating) -> NDArray[np.float64]:
    return 1.0 / (1.0 + (np.asarray(blur, np.float64) / _HALF_BLUR) ** 4)


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

    Defocus blurs edges of all directions alike; motion blurs those it crosses. A picture whose edges run in one
    direction only cannot be judged and gives 0.
    """
    index = np.minimum((edges.angle * np.float32(_DIRECTIONS / np.pi)).astype(np.int64), _DIRECTIONS - 1)
    values, counts, first = _sorted_by(index, edges.blur, _DIRECTIONS)
    blur = np.full(_DIRECTIONS, np.nan)
    told = counts >= _MOVED_EDGES
    rank = ((counts - 1) / 4)[told]
    low = first[told] + rank.astype(np.int64)
    blur[told] = values[low] + (values[low + 1] - values[low]) * (rank % 1)
    one, other = blur[: _DIRECTIONS // 2], blur[_DIRECTIONS // 2 :]
    moved = np.maximum(one, other) > _MOVED_BLUR  # False where one of the two is not known
    return float(np.max(np.abs(one - other)[moved] / (one + other)[moved], initial=0.0))
