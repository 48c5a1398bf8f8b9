"""Content: what the frames of a set show belongs together; a lone stranger costs."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.last import Last
from setsolver.domain.outcome import LedgerLine
from setsolver.domain.problem import Floats, Ints
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.twins import content_part
from setsolver.machine import one_blas_thread
from setsolver.rules.chosen import ChosenSet
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm

__all__ = ["NEAR", "SLACK", "STRANDS", "Content", "content_of", "strands_of"]

STRANDS: Final = 8
"""Directions about which a catalog's frames gather, by what they show: with 6 and with 10 the term told picked sets
from others no better (benchmarks/taste)."""
NEAR: Final = 0.4
"""Cosine to a strand from which a frame belongs to it; nearer is no more of it."""
SLACK: Final = 0.1
"""How far from the set's own place on a strand a frame may lie for nothing."""
_SAMPLE: Final = 4000
"""Frames from which strands are found; of a larger catalog, so many evenly spread over it."""
_ROUNDS: Final = 20
_SAME: Final = 0.999
"""Cosine from which vectors are one and the same."""
_EMPTY: Final = 1e-6
"""Length of a sum of unit vectors under which nothing gathers."""


class Content(AxisTerm):
    """One axis for each strand of the catalog: how far a frame belongs to it, 0 to ``NEAR``.

    Frames that belong to the same strands are of one world, whatever else they show; one that belongs to others is a
    stranger, and the farther every strand is from what the set shows, the more so.
    """

    name = "content"
    key = "weights.content"
    rank = 71

    def apply(self, draft: Draft) -> None:
        """Give the axes."""
        for number, column in enumerate(content_of(draft.snapshot).T, 1):
            draft.agree(self, f"content {number}", column[draft.table.frame], SLACK, says="what it shows")

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return one line for all axes, on the frame that stands apart most."""
        effort = sum((effort for _, _, _, effort in found.axes(self)), start=np.zeros(len(found.chosen)))
        if not any(True for _ in found.axes(self)):
            return []
        apart = found.paths[int(effort.argmax())]
        words = "what they show belongs together" if not effort.any() else f"what they show; {apart} stands apart most"
        return [found.line(self, -float(effort.sum()), found.paths_of(effort > 0), words)]


_content: Last[Floats] = Last()


def content_of(snapshot: Snapshot) -> Floats:
    """Return how far each frame belongs to each strand, [F, at most ``STRANDS``], 0 to ``NEAR``.

    Frames that CLIP has not seen (a quick scan) lie where the others lie on average. No column where nobody can tell
    what frames show.
    """
    if snapshot.signatures is None:
        return np.zeros((len(snapshot.frames), 0))
    ids, signatures = snapshot.signatures()
    return _content.of((ids, signatures), lambda: _content_of(len(snapshot.frames), ids, content_part(signatures)))


def _content_of(count: int, ids: Ints, vectors: NDArray[np.float32]) -> Floats:
    if not len(ids):
        return np.zeros((count, 0))
    near = np.clip(vectors @ strands_of(vectors).T, 0.0, NEAR).astype(np.float64)
    content = np.tile(near.mean(axis=0), (count, 1))
    content[ids] = near
    return content


def strands_of(vectors: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the unit vectors about which unit vectors [n, d] gather, [at most ``STRANDS``, d].

    k-means by cosines (I. S. Dhillon, D. S. Modha, "Concept decompositions for large sparse text data using
    clustering", Machine Learning 42, 2001), begun from the most central vector and then always the one farthest from
    those taken: no draw, and no order of frames, decides what belongs together.
    """
    sample = vectors[:: -(-len(vectors) // _SAMPLE)]
    taken = [int((sample @ sample.mean(axis=0)).argmax())]
    nearest = sample @ sample[taken[0]]
    while len(taken) < STRANDS and nearest.min() < _SAME:
        taken.append(int(nearest.argmin()))
        nearest = np.maximum(nearest, sample @ sample[taken[-1]])
    strands = sample[taken]
    with one_blas_thread():
        for _ in range(_ROUNDS):
            belongs = np.eye(len(strands), dtype=np.float32)[(sample @ strands.T).argmax(axis=1)]
            gathered = belongs.T @ sample
            length = np.linalg.norm(gathered, axis=1, keepdims=True)
            moved = np.where(length > _EMPTY, gathered / np.maximum(length, _EMPTY), strands)
            if np.array_equal(moved, strands):
                break
            strands = moved
    return strands
