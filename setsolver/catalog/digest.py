"""A digest of a file's content, at little more than the cost of reading it."""

from __future__ import annotations

import io
from typing import IO

from xxhash import xxh3_128

__all__ = ["running_digest", "sampled_digest", "whole_digest"]

_PIECE = 1 << 18
"""Bytes that are read at a time: they are still in the processor's cache when they are digested."""
_SAMPLE = 1 << 20
"""Bytes at the head, middle and tail of a file that stand for all."""


def whole_digest(stream: IO[bytes]) -> bytes:
    """Return XXH3 of a stream's bytes, 16 bytes.

    It tells an edited or damaged file from the one that was measured, and is not proof against forgery: whoever forges
    a file here fools nobody. SHA-256 takes as much time as all else that reading adds to decoding.
    """
    digest = running_digest()
    while piece := stream.read(_PIECE):
        digest.update(piece)
    return digest.digest()


def running_digest() -> xxh3_128:
    """Return what is to be updated with a file's bytes, piece by piece, for what ``whole_digest`` returns of it."""
    return xxh3_128()


def sampled_digest(stream: IO[bytes]) -> bytes:
    """Return 16 bytes that change with a stream's size and its first, middle and last megabyte."""
    size = stream.seek(0, io.SEEK_END)
    digest = xxh3_128(str(size).encode())
    for start in (0, size // 2, max(0, size - _SAMPLE)):
        stream.seek(start)
        digest.update(stream.read(_SAMPLE))
    return digest.digest()
