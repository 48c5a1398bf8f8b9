"""One unit vector a frame whose dot products tell twins (``domain.twins``): what both networks say of it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.twins import SHARES
from setsolver.features.models import weights_of

__all__ = ["TWINS_FILE", "centred", "twin_means", "twin_signatures"]

TWINS_FILE: Final = "twins.npz"


def twin_signatures(embeddings: NDArray[np.floating], clips: NDArray[np.floating]) -> NDArray[np.float32]:
    """Return unit vectors whose dot products are a mean of two cosines about means of many shoots; float32[n, 1792].

    Parameters
    ----------
    embeddings : floating[n, 1280], EfficientNet-Lite0's. clips : floating[n, 512], CLIP's.

    Raises
    ------
    BadInput
        Where the means are missing from the installation.
    """
    parts = [centred(embeddings, twin_means()[0]), centred(clips, twin_means()[1])]
    roots = np.sqrt(np.array(SHARES, np.float32))
    together: NDArray[np.float32] = np.hstack([root * part for root, part in zip(roots, parts, strict=True)])
    return together


def centred(vectors: NDArray[np.floating], mean: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return unit vectors of what unit vectors, floating[n, d], have beyond a mean."""
    beyond: NDArray[np.float32] = _unit(np.asarray(vectors, np.float32)) - mean
    return _unit(beyond)


def _unit(vectors: NDArray[np.float32]) -> NDArray[np.float32]:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    unit: NDArray[np.float32] = vectors / np.maximum(length, np.float32(1e-9))
    return unit


def twin_means() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return the means of the unit vectors of EfficientNet-Lite0 and CLIP over many shoots; BadInput where missing."""
    means = weights_of(TWINS_FILE)
    return means["embedding_mean"], means["clip_mean"]
