"""Moments, scenes and near-duplicates of an open catalog of which a few frames were measured again.

The same as grouping the index gives (``sighting.groups_of``), from the frames in memory: pairs of the changed frames
alone are looked for again, and scenes of the stretches of a chapter in which one of them lies.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import KnownScenes, group
from setsolver.catalog.neighbours import near_pairs_again
from setsolver.catalog.records import Groups, Pairs
from setsolver.catalog.scenes import Look
from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.last import remembered
from setsolver.domain.measures import CLIP_SIZE, EMBEDDING_SIZE
from setsolver.domain.patched import Patched
from setsolver.domain.problem import Ints
from setsolver.features.likeness import SAME_DISTANCE, signatures
from setsolver.features.places import scene_parts
from setsolver.usecases.sighting import facts_of, sighting_from

__all__ = ["regrouped"]

_MOST_KEPT = 30_000
"""Frames up to which their signatures are kept, 5 KB each."""
_EMBEDDINGS = Column(lambda frame: frame.measures.embedding, object)
_HASHES = Column(lambda frame: frame.measures.phash, np.uint64)
_FACTS = Column(lambda frame: facts_of(frame.path.rpartition("/")[0], frame.shot), object)
_MEASURES = Column(lambda frame: frame.measures, object)
_signatures = Patched(
    lambda embeddings, hashes: signatures(np.stack(embeddings.tolist()), hashes), _EMBEDDINGS, _HASHES, most=_MOST_KEPT
)


class _Scenes:
    """What scenes were told of a moment ago."""

    def __init__(self) -> None:
        self.known: KnownScenes = {}
        remembered(self)

    def forget(self) -> None:
        """Let go of them."""
        self.known = {}


_scenes = _Scenes()


def regrouped(frames: Sequence[Frame], changed: Ints, same: Pairs, clocks: Mapping[str, str]) -> Groups:
    """Return the groups of all frames, without remarks.

    Parameters
    ----------
    changed : positions of those that were measured again. same : near-duplicates as they were before.
    clocks : what the user said of cameras' clocks.
    """
    vectors = _signatures.of(frames)
    found = sighting_from(_FACTS.of(frames).tolist(), vectors, clocks)
    same = near_pairs_again(same, vectors, SAME_DISTANCE, changed)
    seen, _ = aligned(found, same)
    looks = _Looks(_MEASURES.of(frames))
    grouping = group(seen, looks, same, known=_scenes.known)
    return Groups(np.column_stack([grouping.moment, grouping.scene, grouping.chapter]), same)


class _Looks:
    """What scenes are told by, by position, as ``sighting`` reads it from the index."""

    def __init__(self, measures: NDArray[np.object_]) -> None:
        self._measures = measures

    def __getitem__(self, rows: Ints, /) -> Look:
        some = self._measures[rows].tolist()
        embedding = np.stack([one.embedding for one in some]).reshape(len(some), EMBEDDING_SIZE)
        places = np.zeros((len(some), CLIP_SIZE[1]), np.float16)
        colour = np.zeros((len(some), 4), np.float32)
        for row, one in enumerate(some):
            if one.clip is not None:
                places[row] = one.clip.places
            colour[row] = (*(one.palette or (0.0, 0.0, 0.0)), one.tone.mid)
        return Look(scene_parts(embedding, places), colour, np.asarray(places.any(axis=1), np.bool_))

    def made_of(self, rows: Ints) -> Sequence[object]:
        """Return what the look of these frames is made of: where all are the very same, so is the look."""
        found: list[object] = self._measures[rows].tolist()
        return found
