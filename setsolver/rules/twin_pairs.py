"""Pairs of frames that are alike by their signatures, kept: where a frame looks otherwise, its own are told again.

Whether a pair is one depends on its two signatures alone, to the last digit, so that pairs told again are those of a
catalog that was told from nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.last import Recent, worth_keeping
from setsolver.domain.problem import Ints
from setsolver.domain.twins import likeness_of

__all__ = ["alike_pairs"]

BLOCK = 1000
"""Frames compared at once with the others."""
WHOLE = 6000
"""Frames up to which each is compared with each; in more, each with as many after it in the order of the catalog as
make the same work."""
MOST_KEPT = 200_000
"""Pairs up to which they are kept for the next question: a catalog of one thing has millions."""
_FEW = 0.02
"""Share of frames that look otherwise up to which only their pairs are told again."""
_ROUNDING = 1e-5
"""Products of unit vectors by whole matrices in float32 are off by less."""


class _Known(NamedTuple):
    """Signatures [n, d], and the pairs [P, 2] of positions by chance."""

    signatures: NDArray[np.float32]
    pairs: dict[float, Ints]


_recent: Recent[_Known] = Recent()


def _known_of(signatures: NDArray[np.float32]) -> dict[float, Ints]:
    """Return the pairs that are known of signatures, by chance."""
    same = _recent.find(lambda one: one.signatures is signatures)
    if same is not None:
        return same.pairs
    known = next(iter(_recent.held), None)
    pairs: dict[float, Ints] = {}
    if known is not None and known.signatures.shape == signatures.shape:
        changed = np.flatnonzero((known.signatures != signatures).any(axis=1))
        if len(changed) <= _FEW * len(signatures) + 1:
            pairs = {chance: _again(old, signatures, changed, chance) for chance, old in known.pairs.items()}
    if known is None or worth_keeping(len(signatures), len(known.signatures)):
        _recent.put(_Known(signatures, pairs), len(signatures))
    return pairs


def alike_pairs(signatures: NDArray[np.float32], chance: float) -> Iterator[Ints]:
    """Yield pairs of positions a < b, int64[p, 2], that a viewer calls a repeat with this chance or more, in order."""
    known = _known_of(signatures)
    if chance in known:
        yield known[chance]
        return
    found, count = list[Ints](), 0
    for pairs in _told(signatures, chance):
        count += len(pairs)
        if count <= MOST_KEPT:
            found.append(pairs)
        yield pairs
    if count <= MOST_KEPT:
        known[chance] = np.concatenate([np.zeros((0, 2), np.int64), *found])


def _told(signatures: NDArray[np.float32], chance: float) -> Iterator[Ints]:
    far, least = _far(len(signatures)), likeness_of(chance)
    for start in range(0, len(signatures), BLOCK):
        end = min(start + BLOCK, len(signatures))
        alike = signatures[start:end] @ signatures[start : end + far].T
        pairs = np.argwhere(np.triu(alike >= least - _ROUNDING, 1)) + start
        yield pairs[_near(signatures, pairs, alike[tuple((pairs - start).T)], least)]


def _again(old: Ints, signatures: NDArray[np.float32], changed: Ints, chance: float) -> Ints:
    """Return the pairs with those of frames that look otherwise told again."""
    far, least, count = _far(len(signatures)), likeness_of(chance), len(signatures)
    stay = old[~np.isin(old, changed).any(axis=1)]
    alike = signatures[changed] @ signatures.T
    one, other = np.nonzero(alike >= least - _ROUNDING)
    values, pairs = alike[one, other], np.sort(np.column_stack([changed[one], other]), axis=1)
    within = pairs[:, 1] < np.minimum(pairs[:, 0] // BLOCK * BLOCK + BLOCK, count) + far
    within &= pairs[:, 0] != pairs[:, 1]
    pairs, values = pairs[within], values[within]
    near = pairs[_near(signatures, pairs, values, least)]
    return np.unique(np.concatenate([stay, near]), axis=0)


def _far(count: int) -> int:
    return max(WHOLE * WHOLE // max(1, count), 1)


def _near(signatures: NDArray[np.float32], pairs: Ints, alike: NDArray[np.float32], least: float) -> NDArray[np.bool_]:
    """Return which pairs are alike; what lies too near the bar to be told by a whole matrix is told one by one."""
    near = np.asarray(alike >= least)
    doubtful = np.flatnonzero(np.abs(alike - least) <= 2 * _ROUNDING)
    for at in doubtful.tolist():
        one, other = signatures[pairs[at]].astype(np.float64)
        near[at] = float((one * other).sum()) >= least
    return near
