"""Likeness: a 64-bit perceptual hash and a 1280-d embedding, and how far apart two pictures are by them."""

from __future__ import annotations

import cv2
import imagehash
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from setsolver.features.models import Network

__all__ = ["embed", "hamming", "perceptual_hash"]

_INPUT = (224, 224)


def perceptual_hash(rgb: NDArray[np.uint8]) -> int:
    """Return ``imagehash.phash`` of a picture as an unsigned 64-bit integer, most significant bit first."""
    return int(str(imagehash.phash(Image.fromarray(rgb))), 16)


def hamming(first: NDArray[np.uint64] | int, second: NDArray[np.uint64] | int) -> NDArray[np.int64]:
    """Return how many of 64 bits differ between hashes, broadcast against each other; 0 to 64."""
    different = np.bitwise_xor(np.asarray(first, np.uint64), np.asarray(second, np.uint64))
    return np.bitwise_count(different).astype(np.int64)


def embed(pictures: list[NDArray[np.uint8]], network: Network) -> NDArray[np.float16]:
    """Return embeddings of RGB pictures, each squeezed to 224 x 224; float16[n, 1280]."""
    squeezed = [cv2.resize(picture, _INPUT, interpolation=cv2.INTER_AREA) for picture in pictures]
    batch = (np.stack(squeezed).astype(np.float32) - 127.0) / 128.0
    return network(np.ascontiguousarray(batch.transpose(0, 3, 1, 2))).astype(np.float16)
