"""Straightening, crop and size in one resampling, in linear light, tile by tile.

The kernel is a sinc under a Kaiser window (Kaiser, Schafer, IEEE Trans. Acoust. Speech Signal Process. 28, 1980), three
pixels of the coarser grid to each side, and on to the next whole pixel of the frame. Where the picture shrinks, its
cut-off lies below the result's Nyquist frequency, so that nothing from beyond 1.3 times that frequency (1.4 times on a
grid turned by 8 degrees) comes through with more than 1 %; between the two is the transition that every finite kernel
has.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import hypot
from typing import Any, Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.render import passes
from setsolver.render.room import Room

__all__ = ["TILE", "Grid", "Tile", "aligned", "grid_of", "padded", "reach", "sampled", "tiles_of"]

TILE: Final = 256
"""Pixels of a tile's side: what a tile needs stays in the processor's cache."""
_LOBES: Final = 3
_KAISER: Final = 4.0
_CUT: Final = 0.85
"""Cut-off where the picture shrinks by ``_SHRINKS`` or more, as a share of the result's Nyquist frequency."""
_SHRINKS: Final = 1.3
_TERMS: Final = 4
"""Terms of the polynomials that weights are worked out by: so many are right to 3e-6."""
_LEVEL: Final = 1e-9
_CHANNELS: Final = 3
_VECTOR: Final = 16
"""Floats that a processor loads at once, at most."""

Light = NDArray[np.float32]


class Grid(NamedTuple):
    """Where the pixels of a print lie on the upright frame.

    origin : (x, y) of the print's upper left corner, in the frame's pixels (0 = its left or upper edge).
    across, down : (x, y) steps from column to column and from row to row. width, height : pixels of the print.
    """

    origin: tuple[float, float]
    across: tuple[float, float]
    down: tuple[float, float]
    width: int
    height: int

    @property
    def level(self) -> bool:
        """Tell whether rows and columns are those of the frame."""
        return abs(self.across[1]) < _LEVEL and abs(self.down[0]) < _LEVEL

    @property
    def whole(self) -> bool:
        """Tell whether the print's pixels are pixels of the frame, one for one: then nothing is resampled."""
        return _whole(self)

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels of the frame to one of the print, along x and y."""
        return hypot(*self.across), hypot(*self.down)

    def bounds(self, tile: Tile) -> tuple[float, float, float, float]:
        """Return least x, least y, greatest x and greatest y of a tile's corners on the frame."""
        (x, y), (across_x, across_y), (down_x, down_y) = self.origin, self.across, self.down
        top, bottom, left, right = tile
        one, two, three, four = left * across_x, right * across_x, top * down_x, bottom * down_x
        least_x, most_x = x + min(one, two) + min(three, four), x + max(one, two) + max(three, four)
        one, two, three, four = left * across_y, right * across_y, top * down_y, bottom * down_y
        return least_x, y + min(one, two) + min(three, four), most_x, y + max(one, two) + max(three, four)


class Tile(NamedTuple):
    """A rectangle of a print's pixels; ``bottom`` and ``right`` are exclusive."""

    top: int
    bottom: int
    left: int
    right: int

    def grown(self, margin: int) -> Tile:
        """Return the tile with a margin on every side, which may reach beyond the print."""
        return Tile(self.top - margin, self.bottom + margin, self.left - margin, self.right + margin)


@lru_cache(maxsize=8)
def _whole(grid: Grid) -> bool:
    away = grid.across[0] - 1, grid.down[1] - 1, *(place - round(place) for place in grid.origin)
    return grid.level and all(abs(part) < _LEVEL for part in away)


def grid_of(box: Box, angle: float, frame: tuple[int, int], size: tuple[int, int]) -> Grid:
    """Return the grid of a levelled crop.

    Parameters
    ----------
    box, angle : as in ``domain.geometry``; the box may reach beyond the frame.
    frame, size : width and height in pixels.
    """
    corners = corners_on_frame(box, angle, frame[0] / frame[1]) * frame
    across = (corners[1] - corners[0]) / size[0]
    down = (corners[3] - corners[0]) / size[1]
    first, second, third = ((float(x), float(y)) for x, y in (corners[0], across, down))
    return Grid(first, second, third, *size)


def tiles_of(width: int, height: int, side: int = TILE) -> Iterator[Tile]:
    """Yield tiles that cover a print, in rows from the top."""
    for top in range(0, height, side):
        for left in range(0, width, side):
            yield Tile(top, min(top + side, height), left, min(left + side, width))


def aligned(count: int) -> int:
    """Return how many floats a row of so many takes, so that rows in ``Room`` begin where vectors are loaded whole."""
    return -(-count // _VECTOR) * _VECTOR


def sampled(part: Light, rows: int, corner: tuple[int, int], grid: Grid, tile: Tile, room: Room) -> Light:
    """Return a tile of a print; float32[3, rows, columns], in ``room``.

    Parameters
    ----------
    part : float32[3, w, n], linear light of a part of the frame, from ``corner`` (x, y) on, its columns as rows, of
    which the first ``rows`` count: the tile and ``reach`` around it.
    """
    x = grid.origin[0] + (tile.left + 0.5) * grid.across[0] + (tile.top + 0.5) * grid.down[0] - 0.5 - corner[0]
    y = grid.origin[1] + (tile.left + 0.5) * grid.across[1] + (tile.top + 0.5) * grid.down[1] - 0.5 - corner[1]
    height, width = tile.bottom - tile.top, tile.right - tile.left
    if grid.whole:
        left, top = round(x), round(y)
        result = room.floats("tile", (_CHANNELS, height, width))
        for plane, upright in zip(part[:, left : left + width, top : top + height], result, strict=True):
            cv2.transpose(plane, dst=upright)
        return result
    between = (
        room.floats("across", (_CHANNELS, width, part.shape[2])),
        room.floats("upright", (_CHANNELS, rows, aligned(width))),
    )
    result = room.floats("tile", (_CHANNELS, height, width))
    if grid.level:
        weights = _weights(x, grid.across[0], width), _weights(y, grid.down[1], height)
        passes.level(part, rows, *weights, between, result)
        return result
    # A turned grid (Catmull, Smith, Computer Graphics 14(3), 1980): row v of the source meets column i of the grid at
    # one place; there the first pass looks, and the second finds along column i what the grid asks. Each place is
    # interpolated once along each axis, as on a grid that is not turned.
    (across_x, across_y), (down_x, down_y) = grid.across, grid.down
    lean = down_x / down_y
    across = x - lean * y, across_x - lean * across_y, lean, _parts(grid.scale[0])
    passes.turned(part, rows, across, (y, down_y, across_y, _parts(grid.scale[1])), between, result)
    return result


@lru_cache(maxsize=8)
def reach(grid: Grid) -> int:
    """Return how many pixels of the frame beyond a tile's own are looked at."""
    return 0 if grid.whole else max(_taps(scale) for scale in grid.scale) // 2 + 2


@lru_cache(maxsize=256)
def _weights(start: float, step: float, count: int) -> tuple[NDArray[np.int64], Light]:
    """Return the first source pixel and the weights of each pixel along one axis."""
    at = start + step * np.arange(count)
    taps = _taps(step)
    first = np.floor(at).astype(np.int64) - (taps // 2 - 1)
    weights = _kernel(at[:, None] - first[:, None] - np.arange(taps), step)
    return first, np.ascontiguousarray(weights / weights.sum(axis=1, keepdims=True), dtype=np.float32)


@lru_cache(maxsize=8)
def _parts(step: float) -> Light:
    """Return weights by fraction of a pixel, as ``sliding.slid`` takes them.

    A tap and its mirror image have mirrored weights: their halves, the even and the odd one, are polynomials of fewer
    terms, fitted where Chebyshev's points lie.
    """
    pairs = _taps(step) // 2
    at = 0.5 * np.cos(np.linspace(0, np.pi, 257))
    weights = _kernel(at[:, None] + 0.5 + (pairs - 1) - np.arange(2 * pairs), step)
    weights /= weights.sum(axis=1, keepdims=True)
    first, last = weights[:, :pairs], weights[:, : pairs - 1 : -1]
    powers = (at**2)[:, None] ** np.arange(_TERMS)
    even = np.linalg.lstsq(powers, (first + last) / 2, rcond=None)[0]
    odd = np.linalg.lstsq(powers * at[:, None], (first - last) / 2, rcond=None)[0]
    return np.ascontiguousarray(np.concatenate([even, odd]).T, dtype=np.float32)


def _taps(step: float) -> int:
    """Return how many source pixels count along one axis, an even number."""
    return 2 * int(np.ceil(_LOBES * max(1.0, step) - _LEVEL))


def _kernel(distance: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Return the kernel at distances in source pixels, for a step of so many source pixels.

    Its window ends where the taps do, so that weights, which sum up to 1, jump by at most 0.0071 while a place moves
    over a pixel: a Kaiser window is a little above 0 at its ends.
    """
    coarse, half = max(1.0, step), _taps(step) / 2
    cut = 1.0 - (1.0 - _CUT) * min(1.0, (coarse - 1.0) / (_SHRINKS - 1.0))
    inside = np.clip(1.0 - (distance / half) ** 2, 0.0, None)
    weights: NDArray[np.float64] = np.sinc(cut * distance / coarse) * np.i0(_KAISER * np.sqrt(inside))
    return weights


def padded(part: NDArray[Any], corner: tuple[int, int], wanted: tuple[int, int, int, int]) -> NDArray[Any]:
    """Return a wanted rectangle, which may lie anywhere: beyond a part its picture is mirrored (edge pixels once).

    Parameters
    ----------
    part : [h, w, 3]. corner : (x, y) of the part. wanted : left, top, right, bottom in the frame's pixels, right and
    bottom exclusive.

    Returns
    -------
    [bottom - top, right - left, 3], C-contiguous.
    """
    left, top, right, bottom = wanted
    rows = _mirrored(np.arange(top, bottom) - corner[1], part.shape[0])
    columns = _mirrored(np.arange(left, right) - corner[0], part.shape[1])
    return part[np.ix_(rows, columns)]


def _mirrored(places: NDArray[np.int64], size: int) -> NDArray[np.int64]:
    """Return places from 0 to ``size`` - 1, to which mirrors at both ends send any places."""
    period = max(1, 2 * (size - 1))
    there = places % period
    return np.minimum(there, period - there)
