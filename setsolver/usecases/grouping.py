"""Keep moments, scenes, chapters and near-duplicates of a catalog up to date with its frames."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.records import Likeness
from setsolver.catalog.store import Store
from setsolver.domain.frame import Shot
from setsolver.features.likeness import SAME_DISTANCE, SIGNATURE_SIZE, signatures

__all__ = ["GROUPING_VERSION", "regroup", "sighting_of"]

GROUPING_VERSION = "3"
"""Goes up when grouping changes; catalogs grouped by another version are grouped again."""
_BLOCK = 4096


def regroup(store: Store, tell: Callable[[str, int, int], None]) -> tuple[str, ...]:
    """Group the frames again if any has changed; return remarks, such as clocks that were set apart."""
    key = f"{GROUPING_VERSION}/{store.version}/{SAME_DISTANCE:.4f}"
    if store.grouped() == key:
        return store.remarks()
    seen = sighting_of(store.likeness())
    same = near_pairs(seen.vectors, SAME_DISTANCE, lambda done, total: tell("grouping", done, total))
    seen, remarks = aligned(seen, same)
    found = group(seen, same)
    labels = np.column_stack([found.moment, found.scene, found.chapter])
    store.group(key, labels.tolist(), zip(same.first.tolist(), same.second.tolist(), strict=True), remarks)
    return remarks


def sighting_of(seen: Likeness) -> Sighting:
    """Return what grouping knows of the frames of an index."""
    bodies = _bodies(seen.shots)
    names = tuple(dict.fromkeys(body for body in bodies if body))
    cameras = {name: number for number, name in enumerate(names)}
    folders = {name: number for number, name in enumerate(dict.fromkeys(seen.folders))}
    return Sighting(
        vectors=_vectors(seen),
        instant=_instants(seen.shots),
        camera=np.array([cameras.get(body, -1) for body in bodies], dtype=np.int64),
        folder=np.array([folders[name] for name in seen.folders], dtype=np.int64),
        cameras=names,
        light=np.array([np.nan if shot.light is None else shot.light for shot in seen.shots], dtype=np.float64),
    )


def _bodies(shots: tuple[Shot, ...]) -> list[str]:
    """Return the name of each frame's camera, "" where unknown; bodies of one model are told apart by serial number."""
    serials: dict[str, set[str]] = {}
    for shot in shots:
        serials.setdefault(shot.camera or "", set()).add(shot.body or "")
    return [
        f"{name} no. {shot.body}" if name and shot.body and len(serials[name]) > 1 else name
        for shot, name in ((shot, shot.camera or "") for shot in shots)
    ]


def _instants(shots: tuple[Shot, ...]) -> NDArray[np.float64]:
    """Return seconds, NaN where unknown.

    Offsets to UTC count only where every time has one. Else a telephone, which writes its offset, and a camera beside
    it, which does not, would seem hours apart; what both clocks show is local time.
    """
    if any(shot.time is not None and shot.utc_offset is None for shot in shots):
        shots = tuple(replace(shot, utc_offset=None) for shot in shots)
    return np.array([np.nan if shot.instant is None else shot.instant for shot in shots], dtype=np.float64)


def _vectors(seen: Likeness) -> NDArray[np.float32]:
    """Return signatures, made block by block in their place: all at once would need three times the memory."""
    vectors = np.zeros((len(seen.phash), SIGNATURE_SIZE), np.float32)
    for start in range(0, len(vectors), _BLOCK):
        block = slice(start, start + _BLOCK)
        vectors[block] = signatures(seen.embedding[block], seen.phash[block])
    return vectors
