"""Tone: black, mid, white, contrast, cast, colourfulness, clipping and vignette, whole and by tile."""

from __future__ import annotations

from functools import cache, lru_cache
from math import hypot, sqrt
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import LUMINANCE
from setsolver.domain.geometry import WHOLE
from setsolver.domain.measures import LIGHTNESS_BINS, TONE_GRID, Tone, ToneTiles
from setsolver.domain.tone_tiles import BLACK_PERCENT, WHITE_PERCENT, cast_of_crop, lightness_at, lightness_of_crop
from setsolver.features.cells import area_means
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, views_of

__all__ = ["measure_tone"]

_NEUTRAL_WIDTH: Final = 19.0
"""Standard deviation, in chroma, of the weight that makes a pixel near-neutral: the largest shift of white balance that
is met, so that greys that a cast has moved still pull (8 lost them, 16 some; see benchmarks)."""
_NEUTRAL_SCALE: Final = -0.5 / _NEUTRAL_WIDTH**2
_NEUTRAL_REACH: Final = 60.0
"""Farthest a cast is followed from true grey, in chroma: beyond it a colour is taken for the subject's own. A shorter
reach cuts what two frames under one warm lamp differ by."""
_NEUTRAL_STEPS: Final = 8
_NEUTRAL_STILL: Final = 0.05
"""Step, in chroma, below which the greys' centre is found."""
_NEUTRAL_LIGHTNESS: Final = (8.0, 97.0)
"""L* between which 8-bit codes still say something about a cast."""
_NEUTRAL_LEAST: Final = 0.01
"""Least weight that counts: beyond 3 standard deviations nothing is near-neutral."""
_PLANES: Final = np.split(np.eye(3, dtype=np.float32), 3)
"""What picks one channel of three."""
_TILE_TOTAL: Final = 10_000
_ENOUGH_ROWS: Final = 200
_VIGNETTE_GRID: Final = 24
_VIGNETTE_FLOOR: Final = 0.0006
"""Relative luminance under which codes are too coarse to tell a falloff."""
_VIGNETTE_CORNERS: Final = 0.6
"""r^2 from which a cell lies in the corners."""
_VIGNETTE_TOLD: Final = 0.9
"""Least share of the corners that must be light enough."""


def measure_tone(views: Views) -> tuple[Tone, ToneTiles]:
    """Return a frame's tone and its tone by tile; see ``domain.measures`` for units and ranges."""
    some = slice(None, None, _every(views.middle))
    tiles = _tiles(views.lab[some])
    histogram = lightness_of_crop(tiles, WHOLE)
    black, low, mid, high, white = lightness_at(histogram, (BLACK_PERCENT, 25.0, 50.0, 75.0, WHITE_PERCENT))
    cast_a, cast_b, neutral = cast_of_crop(tiles, WHOLE)
    channels = cv2.split(views.middle)
    dark, bright = _clipped(*channels)
    tone = Tone(
        black=black,
        white=white,
        mid=mid,
        contrast=high - low,
        cast_a=cast_a,
        cast_b=cast_b,
        colourfulness=_colourfulness(*channels),
        clipped_low=dark,
        clipped_high=bright,
        vignette=_vignette(views.linear[some], views.aspect),
        neutral_share=neutral,
    )
    return tone, tiles


def _every(picture: NDArray[np.uint8]) -> int:
    """Return the step of rows that are read: half of them are plenty in all but tiny pictures."""
    return 2 if len(picture) >= _ENOUGH_ROWS else 1


def _tiles(lab: NDArray[np.float32]) -> ToneTiles:
    """Return histograms of L* and means of near-neutrals by tile."""
    lightness, a, b = (cv2.transform(lab, own) for own in _PLANES)  # a third of the time of cv2.split
    weight = _neutral_weight(lightness, a, b)
    means = [area_means(part, TONE_GRID) for part in (cv2.multiply(a, weight), cv2.multiply(b, weight), weight)]
    return ToneTiles(_histograms(lightness), np.stack(means, axis=2).astype(np.float32))


def _histograms(lightness: NDArray[np.float32]) -> NDArray[np.uint16]:
    """Return the share of each bin of L* by tile, as parts of 10000; uint16[6, 6, 100]."""
    cells = TONE_GRID[0] * TONE_GRID[1]
    bins = cv2.min(lightness.astype(np.uint8), LIGHTNESS_BINS - 1) + _first_bins(*lightness.shape)
    top = cells * LIGHTNESS_BINS
    counts = cv2.calcHist([bins], [0], None, [top], [0, top]).reshape(cells, LIGHTNESS_BINS)
    parts = np.rint(counts * (_TILE_TOTAL / counts.sum(axis=1, dtype=np.float64, keepdims=True)))
    histograms: NDArray[np.uint16] = parts.astype(np.uint16).reshape(*TONE_GRID, LIGHTNESS_BINS)
    return histograms


@lru_cache(maxsize=8)
def _first_bins(height: int, width: int) -> NDArray[np.uint16]:
    """Return the number of the first bin of each pixel's tile; uint16[height, width]."""
    rows = np.arange(height) * TONE_GRID[0] // height
    columns = np.arange(width) * TONE_GRID[1] // width
    return ((rows[:, None] * TONE_GRID[1] + columns) * LIGHTNESS_BINS).astype(np.uint16)


def _neutral_weight(
    lightness: NDArray[np.float32], a: NDArray[np.float32], b: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Return how near-neutral each pixel is, 0 to 1: a Gaussian in (a*, b*) about the greys' own centre.

    The centre starts at true grey and follows the mean of what it covers (mean shift: Fukunaga, Hostetler, IEEE
    Trans. Inf. Theory 21, 1975), so that a cast does not push the greys out of their own weight. Every third column
    is enough to find it.
    """
    told = (lightness > _NEUTRAL_LIGHTNESS[0]) & (lightness < _NEUTRAL_LIGHTNESS[1])
    some = told[:, ::3]
    some_a, some_b = (np.ascontiguousarray(part[:, ::3][some])[None] for part in (a, b))
    some_squares = _squares(some_a, some_b)
    centre = 0.0, 0.0
    for _ in range(_NEUTRAL_STEPS if some_a.size else 0):
        near = _gauss(some_a, some_b, some_squares, centre)[0]
        total = float(near.sum())
        if total <= 0:
            break
        moved = float(near @ some_a[0]) / total, float(near @ some_b[0]) / total
        back = min(1.0, _NEUTRAL_REACH / max(hypot(*moved), 1e-9))
        before, centre = centre, (moved[0] * back, moved[1] * back)
        if hypot(centre[0] - before[0], centre[1] - before[1]) < _NEUTRAL_STILL:
            break
    weight: NDArray[np.float32] = _gauss(a, b, _squares(a, b), centre) * told
    return weight


def _squares(a: NDArray[np.float32], b: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the exponent of the Gaussian about true grey; float32[h, w]."""
    exponent: NDArray[np.float32] = cv2.multiply(a, a, scale=_NEUTRAL_SCALE)
    return np.asarray(cv2.add(exponent, cv2.multiply(b, b, scale=_NEUTRAL_SCALE), exponent), np.float32)


def _gauss(
    a: NDArray[np.float32], b: NDArray[np.float32], squares: NDArray[np.float32], centre: tuple[float, float]
) -> NDArray[np.float32]:
    """Return the Gaussian about a centre in (a*, b*), 0 beyond 3 standard deviations; float32[h, w].

    Its exponent is that about true grey (``_squares``), a slope along each axis, and a constant.
    """
    slope_a, slope_b = (-2 * _NEUTRAL_SCALE * part for part in centre)
    exponent = cv2.addWeighted(a, slope_a, b, slope_b, _NEUTRAL_SCALE * hypot(*centre) ** 2)
    cv2.exp(cv2.add(exponent, squares, exponent), exponent)
    weight: NDArray[np.float32] = cv2.threshold(exponent, _NEUTRAL_LEAST, 0, cv2.THRESH_TOZERO, exponent)[1]
    return weight


def _clipped(red: NDArray[np.uint8], green: NDArray[np.uint8], blue: NDArray[np.uint8]) -> tuple[float, float]:
    """Return the shares of pixels with all channels at 2 or less, and at 253 or more.

    All channels: one clipped channel is a saturated colour, not lost detail. The margin is what JPEG adds.
    """
    least, most = cv2.min(cv2.min(red, green), blue), cv2.max(cv2.max(red, green), blue)
    return float(np.count_nonzero(most <= 2) / most.size), float(np.count_nonzero(least >= 253) / least.size)


def _colourfulness(red: NDArray[np.uint8], green: NDArray[np.uint8], blue: NDArray[np.uint8]) -> float:
    """Return M of Hasler and Suesstrunk, "Measuring colourfulness in natural images", SPIE 5007, 2003.

    Its two axes are R - G and, twice, (R - B) + (G - B): their squares add up from sums of squared differences of
    channels, which need no picture of their own.
    """
    pairs = ((red, green), (red, blue), (green, blue))
    across, first, second = (cv2.norm(*pair, cv2.NORM_L2SQR) / red.size for pair in pairs)
    mean_red, mean_green, mean_blue = (cv2.mean(channel)[0] for channel in (red, green, blue))
    mean_1, mean_2 = mean_red - mean_green, mean_red + mean_green - 2 * mean_blue
    variance = across - mean_1**2 + (2 * (first + second) - across - mean_2**2) / 4
    return sqrt(max(0.0, variance)) + 0.3 * hypot(mean_1, mean_2 / 2)


def _vignette(linear: NDArray[np.float32], aspect: float) -> float:
    """Return the falloff from centre to corner in EV, negative where corners are darker.

    Weighted least squares of log2 luminance, averaged over a 24 x 24 grid, on a plane and r^2 (r = 1 at the corner);
    cells too dark to tell weigh nothing, and where those are in the corners the answer is 0: no falloff can be told.
    A scene has bright and dark places of its own, so one frame's value is a hint; an added falloff shows in full.

    Parameters
    ----------
    linear : float32[h, w, 3], all or some rows of a picture. aspect : its width over its height.
    """
    luminance = cv2.transform(linear, LUMINANCE.astype(np.float32)[None])
    grid = area_means(luminance, (_VIGNETTE_GRID, _VIGNETTE_GRID)).astype(np.float64)
    weight = np.clip(grid / _VIGNETTE_FLOOR - 1, 0, 1)
    x, y = _vignette_places()
    square = ((x * aspect) ** 2 + y**2) / (1 + aspect**2)
    if weight[square > _VIGNETTE_CORNERS].mean() < _VIGNETTE_TOLD:
        return 0.0
    columns = np.stack([np.ones_like(x), x, y, square], axis=-1).reshape(-1, 4)
    root = np.sqrt(weight).ravel()
    light = np.log2(np.maximum(grid, _VIGNETTE_FLOOR)).ravel()
    return float(np.linalg.lstsq(columns * root[:, None], light * root, rcond=None)[0][3])


@cache
def _vignette_places() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return x and y of the grid's cells, -1 to 1."""
    at = (np.arange(_VIGNETTE_GRID) + 0.5) / _VIGNETTE_GRID * 2 - 1
    x, y = np.meshgrid(at, at)
    return x, y


def _toned(sight: Sight) -> tuple[Tone, ToneTiles]:
    return measure_tone(sight.once(views_of))


@feature("tone")
def _tone(sight: Sight) -> Tone:
    return sight.once(_toned)[0]


@feature("tiles")
def _tone_tiles(sight: Sight) -> ToneTiles:
    return sight.once(_toned)[1]
