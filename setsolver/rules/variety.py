"""Variety: points for frames that show different things, from their places in content space."""

from __future__ import annotations

import numpy as np
from threadpoolctl import threadpool_limits

from setsolver.domain.frame import Frame
from setsolver.rules.columns import Floats
from setsolver.rules.draft import Draft

__all__ = ["DIMENSIONS", "SCALE_SPREAD", "Variety", "content_places"]

DIMENSIONS = 12
"""Principal axes of the catalog's embeddings that are kept: more add noise, and the solver's bounds loosen."""
SMALL = 100
"""Matrices up to this size are decomposed on one thread anyway."""
SCALE_SPREAD = 0.3
"""How far apart wide and close views of one thing stand, against 1 for the length of a place."""


class Variety:
    """``weights.variety`` points for each unit of mean squared distance from a frame to the others."""

    name = "variety"

    def apply(self, draft: Draft) -> None:
        """Give each row its place: that of its frame, moved a little by its shot scale."""
        places = content_places(draft.snapshot.frames)
        draft.place = np.concatenate([places[draft.table.frame], SCALE_SPREAD * draft.table.odds], axis=1)

    def says(self, mean: float, first: str, second: str) -> str:
        """Return how varied a set is: mean squared distance (0 same, 2 nothing in common), and its closest pair."""
        much = "much" if mean >= 1.5 else "fairly" if mean >= 0.8 else "little"
        return f"{much} variety; the two most alike are {first} and {second}"


def content_places(frames: tuple[Frame, ...]) -> Floats:
    """Return the frames' places in content space: [F, D], unit length, D at most ``DIMENSIONS``.

    Embeddings are scaled to unit length and centred on the catalog, so that what all frames share does not count;
    then projected on their principal axes and scaled to unit length again. A frame at the centre stays there (0).
    """
    vectors = np.stack([frame.measures.embedding for frame in frames]).astype(np.float32)
    vectors = _unit(vectors)
    vectors -= vectors.mean(axis=0)
    return _unit(_principal(vectors).astype(np.float64))


def _unit(vectors: np.ndarray) -> np.ndarray:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 1e-6, vectors / np.maximum(length, 1e-6), 0.0).astype(vectors.dtype)


def _principal(vectors: np.ndarray) -> np.ndarray:
    """Project on the principal axes, by whichever of the two Gram matrices is smaller.

    On one thread: LAPACK's threads wait for each other at every step, so where other work keeps the cores busy a
    decomposition that takes half a second alone took more than a minute on two.
    """
    if min(vectors.shape) < SMALL:
        return _decomposed(vectors)
    with threadpool_limits(1, user_api="blas"):
        return _decomposed(vectors)


def _decomposed(vectors: np.ndarray) -> np.ndarray:
    count, size = vectors.shape
    keep = min(DIMENSIONS, count, size)
    if count <= size:
        values, axes = np.linalg.eigh((vectors @ vectors.T).astype(np.float64))
        return np.asarray(axes[:, -keep:] * np.sqrt(np.maximum(values[-keep:], 0.0)))
    _, axes = np.linalg.eigh((vectors.T @ vectors).astype(np.float64))
    return np.asarray(vectors @ axes[:, -keep:])
