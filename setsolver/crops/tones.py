"""Tones of many crops at once, by the same definition as ``domain.tone_tiles``."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.measures import LIGHTNESS_BINS, ToneTiles
from setsolver.domain.problem import Floats, Ints
from setsolver.domain.tone_tiles import BLACK_PERCENT, WHITE_PERCENT

__all__ = ["tones_of_crops"]

CHUNK = 1000
PERCENTS = np.array([BLACK_PERCENT, 50.0, WHITE_PERCENT])


def tones_of_crops(tiles: Sequence[ToneTiles], frame: Ints, boxes: Floats) -> Floats:
    """Return black, mid, white (L*), cast_a and cast_b of crops, [M, 5].

    Parameters
    ----------
    tiles : of every frame. frame : [M], which frame each crop is of. boxes : [M, 4], fractions.
    """
    tones = np.zeros((len(frame), 5))
    for start in range(0, len(frame), CHUNK):
        part = slice(start, start + CHUNK)
        tones[part] = _tones([tiles[f] for f in frame[part]], boxes[part])
    return tones


def _tones(tiles: Sequence[ToneTiles], boxes: Floats) -> Floats:
    lightness = np.stack([t.lightness for t in tiles])
    neutral = np.stack([t.neutral for t in tiles]).astype(np.float64)
    rows, columns = (
        _cover(boxes[:, 1], boxes[:, 3], lightness.shape[1]),
        _cover(boxes[:, 0], boxes[:, 2], lightness.shape[2]),
    )
    weight = (rows[:, :, None] * columns[:, None, :]).reshape(len(boxes), 1, -1)
    heights = (weight @ lightness.reshape(len(boxes), -1, LIGHTNESS_BINS).astype(np.float64))[:, 0]
    cast = (weight @ neutral.reshape(len(boxes), -1, 3))[:, 0]
    share = np.where(cast[:, 2:] > 0, cast[:, 2:], np.inf)
    return np.concatenate([_percentiles(heights), cast[:, :2] / share], axis=1)


def _cover(low: Floats, size: Floats, cells: int) -> Floats:
    edges = np.arange(cells + 1) / cells
    high = np.minimum(low + size, 1.0)[:, None]
    return np.asarray(np.clip(np.minimum(high, edges[1:]) - np.maximum(low[:, None], edges[:-1]), 0.0, None) * cells)


def _percentiles(heights: Floats) -> Floats:
    """Return L* at the black, middle and white percentile of histograms [M, bins]."""
    below = heights.cumsum(axis=1)
    wanted = below[:, -1:] * PERCENTS / 100.0
    found: Floats = np.empty_like(wanted)
    rows = np.arange(len(heights))
    for column in range(wanted.shape[1]):
        index = np.minimum((below < wanted[:, column, None]).sum(axis=1), heights.shape[1] - 1)
        height = heights[rows, index]
        inside = np.clip((wanted[:, column] - (below[rows, index] - height)) / np.maximum(height, 1e-300), 0.0, 1.0)
        found[:, column] = (index + inside) * (100.0 / heights.shape[1])
    return found
