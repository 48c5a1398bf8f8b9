"""What grouping is told of the frames of an index, and what it finds."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice, starmap
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.cameras import UNKNOWN, Body, body_of, clocks_of, names_of
from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.records import Groups
from setsolver.catalog.scenes import Look
from setsolver.catalog.short_codes import Vectors
from setsolver.catalog.store import Store
from setsolver.domain.clock import WORTHLESS
from setsolver.domain.frame import DAY_IN_NAME, IN_NAME, Shot
from setsolver.features.likeness import SAME_DISTANCE, SIGNATURE_SIZE, signatures
from setsolver.features.places import scene_parts

__all__ = ["Facts", "facts_of", "groups_of", "sighting_from", "sighting_of"]

_BLOCK = 256
_NOTHING: Mapping[str, str] = MappingProxyType({})


def groups_of(store: Store, ids: Sequence[int], tell: Callable[[str, int, int], None]) -> Groups:
    """Return groups of the frames with these ids, which are all there are, in order of path."""
    times = Counter[str]()
    seen = sighting_of(_counted(store.shots(), times), _Signatures(store, ids), store.clocks())
    same = near_pairs(seen.vectors, SAME_DISTANCE, lambda done, total: tell("grouping", done, total))
    seen, remarks = aligned(seen, same)
    found = group(seen, _Looks(store, ids), same, tell=lambda done, total: tell("scenes", done, total))
    return Groups(np.column_stack([found.moment, found.scene, found.chapter]), same, (*_of_names(times), *remarks))


def _counted(shots: Iterable[tuple[str, Shot]], times: Counter[str]) -> Iterator[tuple[str, Shot]]:
    for where, shot in shots:
        times[shot.time_from.partition(",")[0]] += 1
        yield where, shot


def _of_names(times: Counter[str]) -> tuple[str, ...]:
    """Say how many frames have their time from where it is less to be trusted, and how it is put right."""
    named, days = times[IN_NAME], times[DAY_IN_NAME]
    if not named and not days:
        return ()
    part = (f", {days} of these the day alone" if named else ", the day alone") if days else ""
    what = "frame has its" if named + days == 1 else "frames have their"
    said = (
        f"{named + days} {what} time from the name of the file{part}, as the metadata has none; scan --clock "
        f"CAMERA=+1h moves it, CAMERA={WORTHLESS} drops it ({UNKNOWN!r} for frames that name no camera)"
    )
    return (said,)


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


class _Looks:
    """What scenes are told by, by position, read when it is asked for."""

    def __init__(self, store: Store, ids: Sequence[int]) -> None:
        self._store, self._ids = store, ids

    def __getitem__(self, rows: NDArray[np.int64], /) -> Look:
        embedding, places, colour = self._store.contents([self._ids[row] for row in rows.tolist()])
        return Look(scene_parts(embedding, places), colour, np.asarray(places.any(axis=1), np.bool_))


def sighting_of(shots: Iterable[tuple[str, Shot]], vectors: Vectors, said: Mapping[str, str] = _NOTHING) -> Sighting:
    """Return what grouping knows of frames, from the folder and metadata of each and the signatures of all.

    said : what the user said of the clocks of cameras, by name.

    Offsets to UTC count only where every time has one. Else a telephone, which writes its offset, and a camera beside
    it, which does not, would seem hours apart; what both clocks show is local time.
    """
    return sighting_from(starmap(facts_of, shots), vectors, said)


class Facts(NamedTuple):
    """What grouping reads of one frame's metadata; zoned : no time, or one with its offset to UTC."""

    folder: str
    body: Body
    instant: float
    local: float
    vague: bool
    zoned: bool
    light: float


def facts_of(where: str, shot: Shot) -> Facts:
    """Return what grouping reads of a frame in a folder."""
    return Facts(
        where,
        body_of(shot),
        _known(shot.day_or_instant),
        _known(replace(shot, utc_offset=None).day_or_instant),
        shot.time_from == DAY_IN_NAME,
        shot.time is None or shot.utc_offset is not None,
        _known(shot.light),
    )


def sighting_from(facts: Iterable[Facts], vectors: Vectors, said: Mapping[str, str] = _NOTHING) -> Sighting:
    """Return what ``sighting_of`` returns, of what was read of each frame."""
    folders: dict[str, int] = {}
    bodies: dict[Body, int] = {}
    folder, body, vague = array("q"), array("q"), array("b")
    instant, local, light = array("d"), array("d"), array("d")
    everywhere, waiting = True, iter(facts)
    while some := list(islice(waiting, _BLOCK)):  # in blocks: column by column is three times as quick
        where, made_by, instants, locals_, vagues, zoned, lights = zip(*some, strict=True)
        folder.extend([folders.setdefault(one, len(folders)) for one in where])
        body.extend([bodies.setdefault(one, len(bodies)) for one in made_by])
        instant.extend(instants)
        local.extend(locals_)
        vague.extend(vagues)
        light.extend(lights)
        everywhere = everywhere and all(zoned)
    called = names_of(bodies)
    names = tuple(dict.fromkeys(name for name in called.values() if name != UNKNOWN))
    cameras = np.array([names.index(called[one]) if called[one] in names else -1 for one in bodies], np.int64)
    return Sighting(
        vectors=vectors,
        instant=np.array(instant if everywhere else local),
        camera=cameras[np.array(body, np.int64)],
        folder=np.array(folder, np.int64),
        cameras=names,
        light=np.array(light),
        vague=np.array(vague, np.bool_),
        said=frozenset(names.index(called[one]) for one in clocks_of(bodies, said) if called[one] in names),
    )


def _known(value: float | None) -> float:
    return np.nan if value is None else value
