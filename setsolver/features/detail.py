"""Detail: sharpness where it matters, motion blur told from shallow focus, and grain."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import DETAIL_GRID, Detail
from setsolver.features.edges import BlurMap, blur_of
from setsolver.features.grain import noise_of
from setsolver.features.ranks import percentile
from setsolver.features.sight import Sight, feature

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
_SHARPEST: Final = 20
"""One edge in so many is the sharp one by which a direction is judged beside its middle one."""
_BINS: Final = 256
_ABOVE_BLUR: Final = 8.0
"""Blurs are below it, and ranks among them are looked for in so many bins."""
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
    return float(_as_sharpness(percentile(edges.blur[inside], 25)))


def sharpness_tiles(edges: BlurMap) -> NDArray[np.float32]:
    """Return the sharpness of each tile's sharpest quarter of edges; float32[8, 8], 0 where a tile has too few."""
    height, width = edges.shape
    cells = DETAIL_GRID[0] * DETAIL_GRID[1]
    tile = edges.rows * DETAIL_GRID[0] // height * DETAIL_GRID[1] + edges.columns * DETAIL_GRID[1] // width
    blur, counts = _ranked(tile, edges.blur, cells, 4)
    told = counts >= _LEAST_EDGES
    tiles = np.zeros(cells, np.float32)
    tiles[told] = _as_sharpness(blur[told])
    return tiles.reshape(DETAIL_GRID)


def _ranked(
    part: NDArray[np.int64], blur: NDArray[np.float32], parts: int, share: int
) -> tuple[NDArray[np.float32], NDArray[np.int64]]:
    """Return the blur at rank n // share among the n of each part, NaN where it is empty, and how many each part has.

    Bins narrow the search down, and only what falls into the one bin that holds a part's rank is sorted.
    """
    code = part * _BINS + (blur * np.float32(_BINS / _ABOVE_BLUR)).astype(np.int64)
    in_bin = np.bincount(code, minlength=parts * _BINS)
    up_to = np.cumsum(in_bin)
    ends = up_to[_BINS - 1 :: _BINS]
    counts = np.diff(ends, prepend=0)
    told = np.flatnonzero(counts)
    rank = (ends - counts + counts // share)[told]
    sought = np.zeros(parts, np.int64)
    sought[told] = at = np.searchsorted(up_to, rank, side="right")
    near = np.flatnonzero(code == sought[part])
    both = np.sort(part[near] * _ABOVE_BLUR + blur[near])  # a double holds their sum to the last bit
    found = np.full(parts, np.nan, np.float32)
    found[told] = both[np.cumsum(in_bin[at]) - up_to[at] + rank] - told * _ABOVE_BLUR
    return found, counts


def _motion(edges: BlurMap) -> float:
    """Return how far the blur has one direction: 0 all alike, towards 1 where one direction alone is blurred.

    Defocus blurs edges of all directions alike; a straight movement adds the square of its own blur to those it
    crosses, by the cosine squared of the angle: so the squared blur by direction is mean + swing cos 2(a - a0). The
    result is swing over mean, as far as the fit explains what differs, of two blurs: of the median edge of each
    direction, and of one of its sharpest. Movement blurs every edge that it crosses; in wood grain, cloth or reeds most
    edges across the grain are soft ones, yet some are sharp. A picture whose edges run in few directions cannot be
    judged and gives 0.
    """
    index = np.minimum((edges.angle * np.float32(_DIRECTIONS / np.pi)).astype(np.int64), _DIRECTIONS - 1)
    blur, counts = _ranked(index, edges.blur, _DIRECTIONS, 2)
    told = counts >= _MOVED_EDGES
    if np.count_nonzero(told) < _LEAST_DIRECTIONS:
        return 0.0
    most, swing = _swing(blur[told], _WAVES[told])
    if most < _MOVED_BLUR**2:
        return 0.0
    sharpest, _ = _ranked(index, edges.blur, _DIRECTIONS, _SHARPEST)
    return 0.5 * swing + 0.5 * _swing(sharpest[told], _WAVES[told])[1]


def _swing(blur: NDArray[np.float32], waves: NDArray[np.float64]) -> tuple[float, float]:
    """Return the most of the wave fitted to squared blur, and its swing over its mean as far as it explains them."""
    square = blur.astype(np.float64) ** 2
    fit = np.linalg.lstsq(waves, square, rcond=None)[0]
    swing = float(np.hypot(fit[1], fit[2]))
    explained = 1.0 - float(np.var(square - waves @ fit)) / max(float(np.var(square)), 1e-9)
    return float(fit[0]) + swing, float(np.clip(swing / max(float(fit[0]), 1e-3), 0.0, 1.0) * max(0.0, explained))


@feature("detail")
def _detail(sight: Sight) -> Detail:
    edges = sight.once(blur_of)
    grain = sight.once(noise_of).lightness
    return measure_detail(edges, sharpness_tiles(edges), sight.found.subject.box, grain)
