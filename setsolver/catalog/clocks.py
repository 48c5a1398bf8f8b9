"""Cameras whose clocks are set apart: found where both took the same pictures, and brought together for grouping.

Two cameras that see the same things at the same time leave near-duplicates between them, all at one distance in time.
That distance is believed where several of them agree to within seconds over a stretch of minutes: a view taken by one
camera in the morning and by another at night has its own distance each time. A clock that the user set is right, and
the others follow it. Times in the catalog are never changed by what is found here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import cache
from shlex import quote

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.grouping import Sighting
from setsolver.catalog.records import Pairs
from setsolver.domain.clock import plain_shift

__all__ = ["aligned"]

_AGREE_S = 30.0
_LEAST_FRAMES = 3
_LEAST_STRETCH_S = 300.0
_LEAST_SHARE = 0.5
"""Of a later camera's pairs with the one it is compared with, so many must agree."""
_NO_MATTER_S = 60.0
"""Clocks this close are left alone: a minute changes no scene."""


def aligned(seen: Sighting, same: Pairs) -> tuple[Sighting, tuple[str, ...]]:
    """Return the frames with instants on one clock, and what was found.

    That is the clock that the user set, else that of the camera with most frames.
    """
    instant = seen.instant.copy()
    remarks: list[str] = []
    for camera, reference, gap in _gaps(seen, same):
        if abs(gap) > _NO_MATTER_S:
            instant[(seen.camera == camera) & seen.exact] -= gap
            remarks.append(_remark(seen.cameras[camera], seen.cameras[reference], gap))
    return replace(seen, instant=instant), tuple(remarks)


def _gaps(seen: Sighting, same: Pairs) -> Iterator[tuple[int, int, float]]:
    """Yield (camera, camera on whose clock it is brought, seconds ahead of that clock), the one with most frames first.

    A camera that shares no pictures with one may share some with another that is already on its clock; one that shares
    none with any keeps its own, which others may follow.
    """
    counts = np.bincount(seen.camera[seen.camera >= 0], minlength=len(seen.cameras))
    order = [int(camera) for camera in np.argsort(-counts, kind="stable")]
    placed = {camera: (camera, 0.0) for camera in order if camera in seen.said}
    waiting = [camera for camera in order if camera not in placed]
    partners = _partners(seen, same)  # of a hundred cameras hardly any two show the same
    gap_of = cache(lambda camera, reference: _gap(seen, same, camera, reference))
    while waiting:
        found = next(  # nothing, as long as nobody has a place
            (
                (camera, reference, gap)
                for camera in waiting
                if camera in partners
                for reference in placed
                if reference in partners[camera] and (gap := gap_of(camera, reference)) is not None
            ),
            None,
        )
        if found is None:
            placed[waiting[0]] = waiting[0], 0.0
            del waiting[0]
            continue
        camera, (root, ahead), gap = found[0], placed[found[1]], found[2]
        placed[camera] = root, gap + ahead
        waiting.remove(camera)
        yield camera, root, gap + ahead


def _partners(seen: Sighting, same: Pairs) -> dict[int, set[int]]:
    """Return for each camera that shows a picture of another one which those are."""
    found: dict[int, set[int]] = {}
    for one, other in np.unique(np.column_stack([seen.camera[same.first], seen.camera[same.second]]), axis=0).tolist():
        if one != other:
            found.setdefault(one, set()).add(other)
            found.setdefault(other, set()).add(one)
    return found


def _gap(seen: Sighting, same: Pairs, camera: int, reference: int) -> float | None:
    """Return by how many seconds a camera's clock is ahead of another's, None where their pictures do not tell."""
    one, two = _between(seen, same, camera, reference)
    gaps = seen.instant[one] - seen.instant[two]
    sort = np.argsort(gaps)
    one, two, gaps = one[sort], two[sort], gaps[sort]
    ends = np.searchsorted(gaps, gaps + _AGREE_S, side="right")
    for start in np.argsort(np.arange(len(gaps)) - ends, kind="stable")[:1]:  # the fullest window
        window = slice(int(start), int(ends[start]))
        frames = min(len(np.unique(one[window])), len(np.unique(two[window])))
        stretch = float(np.ptp(seen.instant[two[window]]))
        share = (ends[start] - start) / len(gaps)
        if frames >= _LEAST_FRAMES and stretch >= _LEAST_STRETCH_S and share >= _LEAST_SHARE:
            return float(np.median(gaps[window]))
    return None


def _between(seen: Sighting, same: Pairs, camera: int, reference: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the pairs between two cameras with both times known, the first camera's frames first."""
    first, second = seen.camera[same.first], seen.camera[same.second]
    there, back = (first == camera) & (second == reference), (first == reference) & (second == camera)
    one = np.concatenate([same.first[there], same.second[back]])
    two = np.concatenate([same.second[there], same.first[back]])
    timed = seen.exact[one] & seen.exact[two]
    return one[timed], two[timed]


def _remark(camera: str, reference: str, gap: float) -> str:
    apart = timedelta(seconds=round(abs(gap)))
    way = "ahead of" if gap > 0 else "behind"
    shift = plain_shift(-round(gap))
    return (
        f"the clock of {camera!r} is {apart} {way} that of {reference!r}, as their pictures of the same things show; "
        "moments and scenes are grouped on one clock, times in the catalog stay as they are; "
        f"scan --clock {quote(f'{camera}={shift}')} corrects them, {quote(f'{camera}=0h')} says that they are right"
    )
