"""Detail: sharpness where it matters, motion blur told from shallow focus, and grain."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import DETAIL_GRID, Detail
from setsolver.features.colour import lightness_of_luminance
from setsolver.features.views import Views

__all__ = ["BlurMap", "blur_map", "measure_detail", "sharpness_in"]

_REBLUR: Final = 1.0
"""Standard deviation, in preview pixels, of the known blur that edges are compared under."""
_SHARP_BLUR: Final = 0.75
"""Blur of an edge, in preview pixels, that counts as fully sharp: what area averaging itself leaves."""
_HALF_BLUR: Final = 1.1
"""Blur beyond that at which sharpness falls to one half; clearly soft in a print of the preview's size."""
_EDGE: Final = 24.0
"""Least gradient (grey levels a pixel, Sobel / 4) of an edge that is judged, apart from grain."""
_LEAST_EDGES: Final = 12
"""Fewest edge pixels by which a tile or a direction is judged."""
_DIRECTIONS: Final = 8
_FLAT_BLOCK: Final = 16


class BlurMap:
    """Blur of every edge pixel of a picture, by Zhuo and Sim, "Defocus map estimation from a single image" (2011).

    An edge blurred by s and blurred again by r keeps s / sqrt(s^2 + r^2) of its gradient, so the ratio q of the two
    gradients gives s = r / sqrt(q^2 - 1). rows, columns : int[n]; blur : float32[n], preview pixels; angle :
    float32[n], gradient direction in [0, pi); shape : of the preview; tiles : float32[8, 8], sharpness by tile.
    """

    def __init__(self, grey: NDArray[np.uint8]) -> None:
        dx, dy = _gradient(grey)
        again_x, again_y = _gradient(cv2.GaussianBlur(grey, (0, 0), _REBLUR))
        strong = cv2.magnitude(dx, dy)
        self.shape = grey.shape
        self.rows, self.columns = np.nonzero(_ridge(strong, dx, dy) & (strong > _EDGE))
        at = (self.rows, self.columns)
        kept = np.hypot(again_x[at], again_y[at])
        ratio = strong[at] / np.maximum(kept, 1e-3)
        self.blur = (_REBLUR / np.sqrt(np.maximum(ratio**2 - 1, 0.02))).astype(np.float32)
        self.angle = np.arctan2(dy[at], dx[at]) % np.float32(np.pi)
        self.tiles = _tiles(self)


def _gradient(grey: NDArray[np.uint8]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return central differences smoothed across (Sobel / 4), in grey levels over two pixels."""
    return (
        cv2.Sobel(grey, cv2.CV_32F, 1, 0, ksize=3, scale=0.25),
        cv2.Sobel(grey, cv2.CV_32F, 0, 1, ksize=3, scale=0.25),
    )


def _ridge(strong: NDArray[np.float32], dx: NDArray[np.float32], dy: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Return where the gradient is largest across its edge, horizontally or vertically, away from the border."""
    across = np.zeros(strong.shape, dtype=bool)
    centre = strong[1:-1, 1:-1]
    sideways = np.abs(dx[1:-1, 1:-1]) >= np.abs(dy[1:-1, 1:-1])
    in_row = (centre >= strong[1:-1, :-2]) & (centre > strong[1:-1, 2:])
    in_column = (centre >= strong[:-2, 1:-1]) & (centre > strong[2:, 1:-1])
    across[1:-1, 1:-1] = np.where(sideways, in_row, in_column)
    return across


def blur_map(views: Views) -> BlurMap:
    """Return the blur of the preview's edges."""
    return BlurMap(views.grey)


def _as_sharpness(blur: NDArray[np.floating] | np.floating) -> NDArray[np.float64]:
    beyond = np.maximum(np.asarray(blur, np.float64) - _SHARP_BLUR, 0.0) / _HALF_BLUR
    return 1.0 / (1.0 + beyond**2)


def sharpness_in(edges: BlurMap, box: Box) -> float:
    """Return sharpness, 0 to 1, of the sharpest quarter of edges in a box; 0 where it has none."""
    height, width = edges.shape
    inside = (edges.rows >= box.y * height) & (edges.rows < box.bottom * height)
    inside &= (edges.columns >= box.x * width) & (edges.columns < box.right * width)
    if np.count_nonzero(inside) < _LEAST_EDGES:
        return 0.0
    return float(_as_sharpness(np.percentile(edges.blur[inside], 25)))


def measure_detail(views: Views, edges: BlurMap, subject: Box) -> Detail:
    """Return sharpness at the sharpest tiles and the subject, motion, grain, and sharpness by tile."""
    best = float(np.mean(np.sort(edges.tiles.ravel())[-4:]))
    return Detail(
        sharpness=0.5 * best + 0.5 * max(sharpness_in(edges, subject), 0.5 * best),
        motion=_motion(edges),
        grain=_grain(views.grey),
        tiles=edges.tiles,
    )


def _tiles(edges: BlurMap) -> NDArray[np.float32]:
    """Return the sharpness of each tile's sharpest quarter of edges; 0 where a tile has too few."""
    height, width = edges.shape
    cells = DETAIL_GRID[0] * DETAIL_GRID[1]
    tile = edges.rows * DETAIL_GRID[0] // height * DETAIL_GRID[1] + edges.columns * DETAIL_GRID[1] // width
    order = np.lexsort((edges.blur, tile))
    counts = np.bincount(tile, minlength=cells)
    first = np.cumsum(counts) - counts
    quarter = np.minimum(first + counts // 4, max(len(order) - 1, 0))
    tiles = np.zeros(cells, np.float32)
    told = counts >= _LEAST_EDGES
    tiles[told] = _as_sharpness(edges.blur[order[quarter[told]]])
    return tiles.reshape(DETAIL_GRID)


def _motion(edges: BlurMap) -> float:
    """Return how far the blur has one direction: 0 all alike, towards 1 where one direction alone is blurred.

    Defocus blurs edges of all directions alike; motion blurs those it crosses. A picture whose edges run in one
    direction only cannot be judged and gives 0.
    """
    index = np.minimum((edges.angle * (_DIRECTIONS / np.pi)).astype(int), _DIRECTIONS - 1)
    blur = [
        np.percentile(edges.blur[index == k], 25) if (index == k).sum() >= 4 * _LEAST_EDGES else np.nan
        for k in range(_DIRECTIONS)
    ]
    contrasts = [0.0]
    for k in range(_DIRECTIONS // 2):
        one, other = blur[k], blur[k + _DIRECTIONS // 2]
        if np.isfinite(one) and np.isfinite(other) and max(one, other) > 2 * _SHARP_BLUR:
            contrasts.append(abs(one - other) / (one + other))
    return float(max(contrasts))


def _grain(grey: NDArray[np.uint8]) -> float:
    """Return the noise standard deviation in L* in the flattest tenth of 16 x 16 blocks.

    J. Immerkaer, "Fast noise variance estimation", CVIU 64(2), 1996: the mask is blind to planes of tone.
    """
    lightness = cv2.LUT(grey, _LIGHTNESS)
    mask = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
    response = np.abs(cv2.filter2D(lightness, cv2.CV_32F, mask))[1:-1, 1:-1]
    size = (response.shape[1] // _FLAT_BLOCK or 1, response.shape[0] // _FLAT_BLOCK or 1)
    blocks = cv2.resize(response, size, interpolation=cv2.INTER_AREA)
    return float(np.percentile(blocks, 10) * np.sqrt(np.pi / 2) / 6)


_CODES: Final = np.arange(256) / 255
_LIGHTNESS: Final = lightness_of_luminance(
    np.where(_CODES <= 0.04045, _CODES / 12.92, ((_CODES + 0.055) / 1.055) ** 2.4)
).astype(np.float32)
