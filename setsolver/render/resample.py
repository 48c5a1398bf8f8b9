"""Straightening, crop and size in one resampling, in linear light, tile by tile.

The kernel is a sinc under a Kaiser window (Kaiser, Schafer, IEEE Trans. Acoust. Speech Signal Process. 28, 1980), three
pixels of the coarser grid to each side. Where the picture shrinks, its cut-off lies below the result's Nyquist
frequency, so that nothing from beyond 1.3 times that frequency (1.4 times on a grid turned by 8 degrees) comes through
with more than 1 %; between the two is the transition that every finite kernel has.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.render import kernels

__all__ = ["TILE", "Grid", "Tile", "grid_of", "padded", "reach", "sampled", "tiles_of"]

TILE: Final = 512
"""Pixels of a tile's side: what a tile needs stays in the processor's cache."""
_LOBES: Final = 3
_KAISER: Final = 4.0
_CUT: Final = 0.85
"""Cut-off where the picture shrinks by ``_SHRINKS`` or more, as a share of the result's Nyquist frequency."""
_SHRINKS: Final = 1.3
_PHASES: Final = 2048
_LEVEL: Final = 1e-9
_CHANNELS: Final = 3

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
    def scale(self) -> tuple[float, float]:
        """Pixels of the frame to one of the print, along x and y."""
        return float(np.hypot(*self.across)), float(np.hypot(*self.down))

    def bounds(self, tile: Tile) -> tuple[float, float, float, float]:
        """Return least x, least y, greatest x and greatest y of a tile's corners on the frame."""
        columns = np.array([tile.left, tile.right, tile.left, tile.right])
        rows = np.array([tile.top, tile.top, tile.bottom, tile.bottom])
        x = self.origin[0] + columns * self.across[0] + rows * self.down[0]
        y = self.origin[1] + columns * self.across[1] + rows * self.down[1]
        return float(x.min()), float(y.min()), float(x.max()), float(y.max())


class Tile(NamedTuple):
    """A rectangle of a print's pixels; ``bottom`` and ``right`` are exclusive."""

    top: int
    bottom: int
    left: int
    right: int

    def grown(self, margin: int) -> Tile:
        """Return the tile with a margin on every side, which may reach beyond the print."""
        return Tile(self.top - margin, self.bottom + margin, self.left - margin, self.right + margin)


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


def sampled(part: Light, corner: tuple[int, int], grid: Grid, tile: Tile) -> Light:
    """Return a tile of a print; float32[rows, columns, 3].

    Parameters
    ----------
    part : float32[h, w, 3], linear light of a part of the frame, from ``corner`` (x, y) on: the tile and ``reach``
    around it.
    """
    shape = tile.bottom - tile.top, tile.right - tile.left
    x = grid.origin[0] + (tile.left + 0.5) * grid.across[0] + (tile.top + 0.5) * grid.down[0] - 0.5 - corner[0]
    y = grid.origin[1] + (tile.left + 0.5) * grid.across[1] + (tile.top + 0.5) * grid.down[1] - 0.5 - corner[1]
    if grid.level:
        return _separably(part, (x, y), grid, shape)
    return _turned(part, (x, y), grid, shape)


def reach(grid: Grid) -> int:
    """Return how many pixels of the frame beyond a tile's own are looked at."""
    return max(_taps(scale) for scale in grid.scale) // 2 + 2


def _separably(part: Light, start: tuple[float, float], grid: Grid, shape: tuple[int, int]) -> Light:
    rows, row_weights = _weights(start[1], grid.down[1], shape[0])
    columns, column_weights = _weights(start[0], grid.across[0], shape[1])
    between = np.empty((shape[0], part.shape[1] * _CHANNELS), np.float32)
    kernels.down(part.reshape(len(part), -1), rows, row_weights, between)
    result = np.empty((*shape, _CHANNELS), np.float32)
    kernels.across(between.reshape(shape[0], -1, _CHANNELS), columns, column_weights, result)
    return result


def _turned(part: Light, start: tuple[float, float], grid: Grid, shape: tuple[int, int]) -> Light:
    """Resample a turned grid along rows, then along columns (Catmull, Smith, Computer Graphics 14(3), 1980).

    Row v of the source meets column i of the grid at one place; there the first pass looks, and the second finds along
    column i what the grid asks. Each place is interpolated once along each axis, as on a grid that is not turned.
    """
    (x, y), (across_x, across_y), (down_x, down_y) = start, grid.across, grid.down
    lean = down_x / down_y
    between = np.empty((len(part), shape[1], _CHANNELS), np.float32)
    kernels.leaned(part, x - lean * y, across_x - lean * across_y, lean, _table(grid.scale[0]), between)
    result = np.empty((*shape, _CHANNELS), np.float32)
    kernels.settled(between, y, down_y, across_y, _table(grid.scale[1]), result)
    return result


def _weights(start: float, step: float, count: int) -> tuple[NDArray[np.int64], Light]:
    """Return the first source pixel and the weights of each pixel along one axis."""
    at = start + step * np.arange(count)
    taps = _taps(step)
    first = np.floor(at).astype(np.int64) - (taps // 2 - 1)
    weights = _kernel(at[:, None] - first[:, None] - np.arange(taps), step)
    return first, np.ascontiguousarray(weights / weights.sum(axis=1, keepdims=True), dtype=np.float32)


@lru_cache(maxsize=8)
def _table(step: float) -> Light:
    taps = _taps(step)
    at = (np.arange(_PHASES) + 0.5) / _PHASES
    weights = _kernel(at[:, None] + (taps // 2 - 1) - np.arange(taps), step)
    return np.ascontiguousarray(weights / weights.sum(axis=1, keepdims=True), dtype=np.float32)


def _taps(step: float) -> int:
    """Return how many source pixels count along one axis, an even number."""
    return 2 * int(np.ceil(_LOBES * max(1.0, step)))


def _kernel(distance: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Return the kernel at distances in source pixels, for a step of so many source pixels."""
    coarse = max(1.0, step)
    cut = 1.0 - (1.0 - _CUT) * min(1.0, (coarse - 1.0) / (_SHRINKS - 1.0))
    x = distance / coarse
    inside = np.clip(1.0 - (x / _LOBES) ** 2, 0.0, None)
    window = np.where(np.abs(x) < _LOBES, np.i0(_KAISER * np.sqrt(inside)), 0.0)
    weights: NDArray[np.float64] = np.sinc(cut * x) * window
    return weights


def padded(part: Light, corner: tuple[int, int], wanted: tuple[int, int, int, int]) -> tuple[Light, tuple[int, int]]:
    """Return a part with what it lacks of a wanted rectangle mirrored at its edges (edge pixels once), and its corner.

    Parameters
    ----------
    wanted : left, top, right, bottom in the frame's pixels, right and bottom exclusive.
    """
    height, width = part.shape[:2]
    left, top = max(0, corner[0] - wanted[0]), max(0, corner[1] - wanted[1])
    right, bottom = max(0, wanted[2] - corner[0] - width), max(0, wanted[3] - corner[1] - height)
    if not (left or top or right or bottom):
        return part, corner
    whole = cv2.copyMakeBorder(part, top, bottom, left, right, cv2.BORDER_REFLECT_101)
    return np.asarray(whole, np.float32), (corner[0] - left, corner[1] - top)
