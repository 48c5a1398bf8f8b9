"""Heads on CLIP's places that tell what lies above a horizon and where one runs, fitted without whole folds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations_with_replacement
from typing import NamedTuple, Protocol

import fit_ground
import numpy as np

from setsolver.features.crossing import share_crossed
from setsolver.features.ground import share_above

__all__ = ["PlaceHeads", "fit_place_heads"]

AXES = 128
ABOVE_AXES = 96
"""Of these, how many the head for what lies above rests on."""
ABOVE_STIFFNESS, CROSSING_STIFFNESS = 6e-5, 1e-4
TURNS = (0.0, 2.5, 4.0)
"""Degrees either way by which photographs that are fitted to were turned."""
GRID = (14, 14)


class PlaceHeads(NamedTuple):
    """above : float32[769], for ``ground.above_ground``. crossing : float32[769], for ``crossing.crossing_by_clip``."""

    above: np.ndarray
    crossing: np.ndarray


class Placed(Protocol):
    """What is asked of a photograph; truth: degrees and height of its horizon, None where there is none to read."""

    turn: float
    reading: str
    truth: tuple[float, float] | None
    size: tuple[int, int]
    places: np.ndarray
    fold: int


def fit_place_heads(every: Sequence[Placed], folds: int) -> dict[tuple[int, ...], PlaceHeads]:
    """Heads fitted without one fold or without two, lower number first; without none under ()."""
    known = [one for one in every if one.truth and not np.isnan(one.truth[1]) and abs(one.turn) in TURNS]
    bare = [one for one in every if one.reading == "none" and one.turn == 0]
    plain = np.concatenate([one.places.reshape(-1, one.places.shape[-1]) for one in known if one.turn == 0])
    mean, axes = principal(plain.astype(np.float32))
    maps, empty = [on_axes(one, mean, axes, 2) for one in known], [on_axes(one, mean, axes, 2, 2) for one in bare]
    lines = [(one.truth[1], np.tan(np.radians(one.truth[0])) * one.size[0] / one.size[1], GRID) for one in known]
    above, crossed = ([share(*line)[:, ::2] for line in lines] for share in (share_above, share_crossed))
    nothing = np.zeros((GRID[0] // 2, GRID[1] // 2))

    def without(left: tuple[int, ...]) -> PlaceHeads:
        rows = [k for k, one in enumerate(known) if one.fold not in left]
        others = [k for k, one in enumerate(bare) if one.fold not in left]
        ground = fit_ground.fit([maps[k][:ABOVE_AXES] for k in rows], [above[k] for k in rows], ABOVE_STIFFNESS)
        crossing = fit_ground.fit(
            [maps[k] for k in rows] + [empty[k] for k in others],
            [crossed[k] for k in rows] + [nothing] * len(others),
            CROSSING_STIFFNESS,
        )
        return PlaceHeads(on_places(ground, mean, axes), on_places(crossing, mean, axes))

    return {left: without(left) for left in [(), *combinations_with_replacement(range(folds), 2)]}


def principal(rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean and leading axes of rows, each axis of unit variance; float32[d], float32[d, AXES]."""
    mean = rows.mean(axis=0)
    value, vector = np.linalg.eigh(np.cov((rows - mean).T))
    return mean, (vector[:, ::-1] / np.sqrt(value[::-1]))[:, :AXES].astype(np.float32)


def on_axes(one: Placed, mean: np.ndarray, axes: np.ndarray, across: int, down: int = 1) -> np.ndarray:
    """Every so-many-th place on the axes; float32[AXES, rows, columns]. Half of the places say as much."""
    return ((one.places[::down, ::across].astype(np.float32) - mean) @ axes).transpose(2, 0, 1)


def on_places(head: np.ndarray, mean: np.ndarray, axes: np.ndarray) -> np.ndarray:
    """A head on the first axes as one on places; float32[d + 1]."""
    weights = axes[:, : len(head) - 1] @ head[:-1]
    return np.append(weights, head[-1] - mean @ weights).astype(np.float32)
