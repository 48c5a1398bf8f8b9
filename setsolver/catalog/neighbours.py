"""All pairs of near vectors among many, exactly, without a table of all pairs and without holding the vectors.

Every pair is looked at by short codes, in two looks; pairs that those leave open are measured in full. Where very many
frames are linked by likeness (an hour of a camera on a tripod), their pairs would fill memory and disk, and no rule
needs them one by one: such frames come back as a series.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from itertools import islice

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from setsolver.catalog.records import Pairs
from setsolver.catalog.series import MOST_PAIRS, Collected
from setsolver.catalog.short_codes import Codes, Vectors, coded
from setsolver.interrupts import answered, held
from setsolver.machine import cores

__all__ = ["near_pairs", "near_pairs_again"]

_BLOCK = 1024
_CHECK = 512
_MANY = 1 << 17
"""Candidates measured before it is asked again which of the rest lie in a series by now."""
_FIRST = 32
"""Rows of a series that are looked at before the rest of their block."""
_FEW = 3000
"""Up to so many vectors, reading them once and comparing them whole costs less than finding their axes."""
_ROUNDING = 1e-4
"""Squared distances of unit vectors by products in float32 are off by less."""
_THREADS = min(8, cores())
"""Each holds one block of distances, 4 MB."""
_Candidates = tuple[NDArray[np.int64], NDArray[np.int64]]
_Found = Iterator[tuple[int, NDArray[np.int64], NDArray[np.int64]]]


def near_pairs(
    vectors: Vectors, radius: float, tell: Callable[[int, int], None] | None = None, *, most: int = MOST_PAIRS
) -> Pairs:
    """Return every pair of ``vectors`` [n, d] (unit length) at most ``radius`` apart.

    ``tell`` : told (rows done, rows). most : frames that more pairs than this connect are returned as a series.
    """
    count = len(vectors)
    found = Collected(count, most)
    with threadpool_limits(1, user_api="blas"):  # threads of our own take blocks; more within would wait for each other
        if count <= _FEW:
            vectors = vectors[np.arange(count, dtype=np.int64)]
            candidates = _among_few(vectors, radius)
        else:
            candidates = _among_many(coded(vectors, radius), radius, found)
        with held():  # an interrupted pool may never end
            for done, first, second in candidates:
                with answered():
                    for start in range(0, len(first), _MANY):
                        part = slice(start, start + _MANY)
                        _take(found, vectors, first[part], second[part], radius)
                    if tell is not None:
                        tell(done, count)
    return found.pairs()


def near_pairs_again(
    known: Pairs, vectors: NDArray[np.float32], radius: float, changed: NDArray[np.int64], *, most: int = MOST_PAIRS
) -> Pairs:
    """Return what ``near_pairs`` returns, of vectors that were asked about before and of which some have changed since.

    Parameters
    ----------
    known : the pairs of before, under the same radius and ``most``. vectors : [n, d], now. changed : positions.
    """
    if known.series:  # which frames are in one depends on pairs that were not kept
        return near_pairs(vectors, radius, most=most)
    found = Collected(len(vectors), most)
    moved = np.zeros(len(vectors), np.bool_)
    moved[changed] = True
    stay = ~(moved[known.first] | moved[known.second])
    found.add(known.first[stay], known.second[stay])
    for one in changed.tolist():
        apart = vectors - vectors[one]
        near = np.flatnonzero(np.einsum("ij,ij->i", apart, apart) <= radius * radius + _ROUNDING)
        near = near[(near != one) & ~(moved[near] & (near < one))]  # of two that changed, the first finds the pair
        _take(found, vectors, np.minimum(near, one), np.maximum(near, one), radius)
    return found.pairs()


def _take(
    found: Collected, vectors: Vectors, first: NDArray[np.int64], second: NDArray[np.int64], radius: float
) -> None:
    """Add those candidates that are within the radius in full; each vector is asked for once."""
    wanted = ~found.settled(first, second)
    first, second = first[wanted], second[wanted]
    if len(first):
        near = _within(vectors, first, second, radius)
        found.add(first[near], second[near])


def _among_few(vectors: NDArray[np.float32], radius: float) -> _Found:
    """Yield (rows done, candidates) by whole vectors."""
    lengths = np.einsum("ij,ij->i", vectors, vectors)
    for start in range(0, len(vectors), _BLOCK):
        block = vectors[start : start + _BLOCK]
        squares = lengths[start : start + _BLOCK, None] + lengths - 2 * (block @ vectors.T)
        first, second = np.nonzero(np.triu(squares <= radius * radius + _ROUNDING, start + 1))
        yield start + len(block), first + start, second


def _among_many(codes: Codes, radius: float, found: Collected) -> _Found:
    """Yield (rows done, candidates); some blocks at a time, so that they are in order and do not pile up."""
    blocks = [slice(start, min(start + _BLOCK, len(codes))) for start in range(0, len(codes), _BLOCK)]
    with ThreadPoolExecutor(_THREADS) as pool:
        for number, block in enumerate(blocks):
            left = codes.left(block)
            rest = iter(blocks[number:])
            while some := list(islice(rest, 2 * _THREADS)):
                done = block.start if some[-1] is not blocks[-1] else block.stop
                for rows in _in_turn(block, found):
                    look = partial(_open, codes, radius, found, rows, left[rows - block.start])
                    first, second = (np.concatenate(part) for part in zip(*pool.map(look, some), strict=True))
                    yield done, first, second


def _in_turn(block: slice, found: Collected) -> Iterator[NDArray[np.int64]]:
    """Yield the rows of a block, first a few that are in a series: whom they lead to is in it, too, and needs no more.

    Of very many frames of one view each would else be measured against every frame of a block.
    """
    rows = np.arange(block.start, block.stop)
    members = np.flatnonzero(found.among(rows))[:_FIRST]
    if len(members):
        yield rows[members]
        rows = np.delete(rows, members)
    yield rows


def _open(
    codes: Codes,
    radius: float,
    found: Collected,
    rows: NDArray[np.int64],
    left: NDArray[np.float32],
    columns: slice,
) -> _Candidates:
    """Return the pairs first < second of some rows and a block that their codes leave open and no series covers.

    left : ``codes.left`` of the rows.
    """
    if not len(rows) or 0 <= found.whole(rows) == found.whole(columns):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    squares = left @ codes.right(columns)
    first, second = np.divmod(np.flatnonzero(squares <= codes.limit(radius)), squares.shape[1])
    first = rows[first]
    second += columns.start
    wanted = (first < second) & ~found.settled(first, second)
    first, second = first[wanted], second[wanted]
    near = codes.near(first, second, radius)
    return first[near], second[near]


def _within(vectors: Vectors, first: NDArray[np.int64], second: NDArray[np.int64], radius: float) -> NDArray[np.bool_]:
    """Return which pairs are within the radius in full."""
    rows, place = np.unique(np.concatenate([first, second]), return_inverse=True)
    here = vectors[rows]
    one, two = place[: len(first)], place[len(first) :]
    near = np.empty(len(first), np.bool_)
    for start in range(0, len(first), _CHECK):
        part = slice(start, start + _CHECK)
        apart = here[one[part]]
        apart -= here[two[part]]
        near[part] = np.sqrt(np.einsum("ij,ij->i", apart, apart)) <= radius
    return near
