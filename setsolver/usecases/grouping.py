"""Keep moments, scenes, chapters and near-duplicates of a catalog up to date with its frames."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from setsolver.catalog.grouping import Sighting, group
from setsolver.catalog.neighbours import Pairs, near_pairs
from setsolver.catalog.store import Likeness, Store
from setsolver.features.likeness import SAME_DISTANCE, signatures

__all__ = ["GROUPING_VERSION", "regroup"]

GROUPING_VERSION = "2"


def regroup(store: Store, tell: Callable[[str, int, int], None]) -> tuple[str, ...]:
    """Group the frames again if any has changed; return remarks."""
    key = f"{GROUPING_VERSION}/{store.version}"
    if store.grouped() == key:
        return ()
    seen = store.likeness()
    sighting = _sighting(seen)
    same = _same_pictures(seen, lambda done, total: tell("grouping", done, total))
    found = group(sighting, same)
    labels = np.column_stack([found.moment, found.scene, found.chapter])
    store.group(key, labels.tolist(), zip(same.first.tolist(), same.second.tolist(), strict=True))
    return ()


def _same_pictures(seen: Likeness, tell: Callable[[int, int], None]) -> Pairs:
    return near_pairs(signatures(seen.embedding, seen.phash), SAME_DISTANCE, tell)


def _sighting(seen: Likeness) -> Sighting:
    vectors = seen.embedding.astype(np.float32)
    vectors /= np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-12)
    cameras = {name: number for number, name in enumerate(dict.fromkeys(c for c in seen.cameras if c))}
    folders = {name: number for number, name in enumerate(dict.fromkeys(seen.folders))}
    return Sighting(
        vectors=vectors,
        instant=np.array(seen.instants, dtype=np.float64),
        camera=np.array([cameras.get(name, -1) for name in seen.cameras], dtype=np.int64),
        folder=np.array([folders[name] for name in seen.folders], dtype=np.int64),
    )
