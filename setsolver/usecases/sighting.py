"""What grouping is told of the frames of an index, and what it finds."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.records import Groups
from setsolver.catalog.short_codes import Vectors
from setsolver.catalog.store import Store
from setsolver.domain.frame import Shot
from setsolver.features.likeness import SAME_DISTANCE, SIGNATURE_SIZE, signatures

__all__ = ["groups_of", "sighting_of"]

_BLOCK = 256


def groups_of(store: Store, ids: Sequence[int], tell: Callable[[str, int, int], None]) -> Groups:
    """Return groups of the frames with these ids, which are all there are, in order of path."""
    seen = sighting_of(store.shots(), _Signatures(store, ids))
    same = near_pairs(seen.vectors, SAME_DISTANCE, lambda done, total: tell("grouping", done, total))
    seen, remarks = aligned(seen, same)
    found = group(seen, same)
    return Groups(np.column_stack([found.moment, found.scene, found.chapter]), same, remarks)


class _Signatures:
    """Signatures by position, read when they are asked for: all of a large catalog would fill the memory."""

    def __init__(self, store: Store, ids: Sequence[int]) -> None:
        self._store, self._ids = store, ids

    def __len__(self) -> int:
        return len(self._ids)

    def __getitem__(self, rows: NDArray[np.int64], /) -> NDArray[np.float32]:
        vectors = np.empty((len(rows), SIGNATURE_SIZE), np.float32)
        for start in range(0, len(rows), _BLOCK):
            part = rows[start : start + _BLOCK].tolist()
            vectors[start : start + _BLOCK] = signatures(*self._store.looks([self._ids[row] for row in part]))
        return vectors


def sighting_of(shots: Iterable[tuple[str, Shot]], vectors: Vectors) -> Sighting:
    """Return what grouping knows of frames, from the folder and metadata of each and the signatures of all.

    Offsets to UTC count only where every time has one. Else a telephone, which writes its offset, and a camera beside
    it, which does not, would seem hours apart; what both clocks show is local time.
    """
    folders: dict[str, int] = {}
    bodies: dict[tuple[str, str], int] = {}
    folder, body = array("q"), array("q")
    instant, local, light = array("d"), array("d"), array("d")
    everywhere = True
    for where, shot in shots:
        folder.append(folders.setdefault(where, len(folders)))
        body.append(bodies.setdefault((shot.camera or "", shot.body or ""), len(bodies)))
        instant.append(_known(shot.instant))
        local.append(_known(replace(shot, utc_offset=None).instant))
        everywhere &= shot.time is None or shot.utc_offset is not None
        light.append(_known(shot.light))
    cameras, names = _cameras(bodies)
    return Sighting(
        vectors=vectors,
        instant=np.array(instant if everywhere else local),
        camera=cameras[np.array(body, np.int64)],
        folder=np.array(folder, np.int64),
        cameras=names,
        light=np.array(light),
    )


def _known(value: float | None) -> float:
    return np.nan if value is None else value


def _cameras(bodies: Iterable[tuple[str, str]]) -> tuple[NDArray[np.int64], tuple[str, ...]]:
    """Return the camera's number of each body, -1 where unknown, and the cameras' names.

    Bodies of one model are told apart by serial number.
    """
    bodies = list(bodies)
    models = [model for model, _ in bodies]
    called = [f"{model} no. {serial}" if serial and models.count(model) > 1 else model for model, serial in bodies]
    called = [name if model else "" for name, model in zip(called, models, strict=True)]
    names = tuple(dict.fromkeys(name for name in called if name))
    return np.array([names.index(name) if name else -1 for name in called], dtype=np.int64), names
