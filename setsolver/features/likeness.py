"""Likeness: a 64-bit perceptual hash, a 1280-d embedding, and one unit vector of both in which near means alike."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import EMBEDDING_SIZE
from setsolver.features.models import Network, likeness_mean

__all__ = [
    "SAME_DISTANCE",
    "SAME_PICTURE",
    "SIGNATURE_SIZE",
    "embed",
    "hamming",
    "prepared",
    "signatures",
]

_SIDE: Final = 224
"""Width and height of what the network reads, in pixels, unless told."""
_HASH_SHARE: Final = 0.6
"""Weight of the hash beside the embedding's 1: the embedding knows crops and turns, the hash fine likeness of form."""
SIGNATURE_SIZE: Final = EMBEDDING_SIZE + 64
"""Numbers of a signature."""
SAME_PICTURE: Final = 0.65
"""Likeness from which two frames are the same picture: past the knee of the curve in benchmarks/features/README.md."""
SAME_DISTANCE: Final = float(np.sqrt(2 - 2 * SAME_PICTURE))
"""The same as a Euclidean distance of signatures."""


def hamming(first: NDArray[np.uint64] | int, second: NDArray[np.uint64] | int) -> NDArray[np.int64]:
    """Return how many of 64 bits differ between hashes, broadcast against each other; 0 to 64."""
    different = np.bitwise_xor(np.asarray(first, np.uint64), np.asarray(second, np.uint64))
    return np.bitwise_count(different).astype(np.int64)


def embed(pictures: list[NDArray[np.uint8]], network: Network, side: int = _SIDE) -> NDArray[np.float16]:
    """Return embeddings of RGB pictures, each squeezed to ``side`` x ``side`` pixels; float16[n, 1280]."""
    return network(prepared(pictures, side)).embedding.astype(np.float16)


def prepared(pictures: list[NDArray[np.uint8]], side: int = _SIDE) -> NDArray[np.float32]:
    """Return what the network reads of RGB pictures; float32[n, 3, side, side], about -1 to 1.

    Parameters
    ----------
    side : pixels, a multiple of 32. Time grows with its square; embeddings of one picture at 192 and 224 pixels are
    alike, not equal, so likeness always takes 224.
    """
    batch = np.empty((len(pictures), 3, side, side), np.float32)
    for picture, planes in zip(pictures, batch, strict=True):
        squeezed = cv2.resize(picture, (side, side), interpolation=cv2.INTER_AREA)
        for channel, plane in zip(cv2.split(squeezed), planes, strict=True):
            np.subtract(channel, np.float32(127), out=plane, dtype=np.float32)
    batch /= np.float32(128)
    return batch


def signatures(embeddings: NDArray[np.floating], hashes: NDArray[np.uint64]) -> NDArray[np.float32]:
    """Return a unit vector a frame whose dot products are likeness; float32[n, 1344].

    Likeness is (c + 0.6 (1 - h / 32)) / 1.6 with c the cosine of embeddings about the training table's mean and h the
    Hamming distance of hashes: bits written as +-1/8 make the hash's part a dot product too, so that any search for
    near unit vectors finds near-duplicates. 1 = the same pixels, about 0 = unrelated.

    Parameters
    ----------
    embeddings : floating[n, 1280]. hashes : uint64[n].
    """
    centred = np.asarray(embeddings, np.float32) - likeness_mean()
    centred /= np.maximum(np.linalg.norm(centred, axis=1, keepdims=True), 1e-9)
    shifts = np.arange(63, -1, -1, dtype=np.uint64)
    bits = (np.asarray(hashes, np.uint64)[:, None] >> shifts & np.uint64(1)).astype(np.float32)
    form = (bits * 2 - 1) * np.float32(np.sqrt(_HASH_SHARE) / 8)
    together: NDArray[np.float32] = np.hstack([centred, form])
    together /= np.float32(np.sqrt(1 + _HASH_SHARE))
    return together
