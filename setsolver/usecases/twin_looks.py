"""What tells twins of the frames of a catalog: worked out again only of frames that look otherwise than before."""

from __future__ import annotations

from collections.abc import Sequence
from operator import is_not
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.last import Recent, worth_keeping
from setsolver.domain.problem import Ints
from setsolver.features.twins import twin_signatures

__all__ = ["twin_looks"]

_EMBEDDINGS = Column(lambda frame: frame.measures.embedding, object)
_CLIPS = Column(lambda frame: frame.measures.clip, object)


class _Seen(NamedTuple):
    """Columns of embeddings and of what CLIP says [F]; ids [n] of the frames that CLIP has seen, and vectors [n, d]."""

    embeddings: NDArray[np.object_]
    clips: NDArray[np.object_]
    ids: Ints
    vectors: NDArray[np.float32]


_recent: Recent[_Seen] = Recent()


def twin_looks(frames: Sequence[Frame]) -> tuple[Ints, NDArray[np.float32]]:
    """Return ids [n] and signatures float32[n, d] of the frames that CLIP has seen (``features.twins``).

    Where no frame looks otherwise than at one of the last two questions, the very same arrays are returned.
    """
    embeddings, clips = _EMBEDDINGS.of(frames), _CLIPS.of(frames)
    same = _recent.find(lambda one: one.embeddings is embeddings and one.clips is clips)
    if same is not None:
        return same.ids, same.vectors
    last = next(iter(_recent.held), None)
    ids = np.flatnonzero(np.array([clip is not None for clip in clips.tolist()], np.bool_))
    if last is not None and len(last.clips) == len(clips) and np.array_equal(ids, last.ids):
        vectors = last.vectors.copy()
        others = _others(last.embeddings, embeddings) | _others(last.clips, clips)
        rows = np.flatnonzero(others[ids])
    else:
        vectors, rows = np.zeros((len(ids), 1), np.float32), np.arange(len(ids))
    if len(rows):
        new = _signed(embeddings[ids[rows]], clips[ids[rows]])
        vectors = vectors if len(rows) < len(ids) else np.empty_like(new)
        vectors[rows] = new
    if last is None or worth_keeping(len(clips), len(last.clips)):
        _recent.put(_Seen(embeddings, clips, ids, vectors), len(clips))
    return ids, vectors


def _others(old: NDArray[np.object_], new: NDArray[np.object_]) -> NDArray[np.bool_]:
    return np.fromiter(map(is_not, old.tolist(), new.tolist()), np.bool_, len(new))


def _signed(embeddings: NDArray[np.object_], clips: NDArray[np.object_]) -> NDArray[np.float32]:
    looks = np.stack([clip.embedding for clip in clips.tolist()])
    return twin_signatures(np.stack(embeddings.tolist()), looks)
