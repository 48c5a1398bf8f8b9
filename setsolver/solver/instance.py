"""The problem as the kernels see it: arrays of the renditions that a question leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bundle import Bundle
from setsolver.solver.compiled import NOTHING
from setsolver.solver.embedding import embedded
from setsolver.solver.nesting import nested_chains

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Floats, Ints, Problem
    from setsolver.solver.restriction import Restriction

__all__ = ["Caps", "Instance", "Places", "Roles", "Tones", "Wishes", "instance_of", "lengths"]


MOST_LABELS = 64
"""Rows of caps that do not nest have tolls up to so many labels."""


class Roles(Bundle):
    """``gain`` [M, R] with NOTHING for "cannot"; least and most of each role [R], most never above the size."""

    gain: Floats
    least: Ints
    most: Ints


class Tones(Bundle):
    """``tone`` [M, K], and [K] each: points a unit, slack, and ``width`` = reach + slack."""

    tone: Floats
    weight: Floats
    slack: Floats
    width: Floats


class Places(Bundle):
    """``tangent`` [M, D] and ``own`` [M] (points) bound variety, see ``embedding``; ``spot`` [M, X] is exact."""

    pair_weight: float
    euclidean: bool
    tangent: Floats
    own: Floats
    spot: Floats


class Caps(Bundle):
    """All caps as rows of labels [G, M], and the conflicts of frames.

    The first ``nested`` rows, from fine to coarse, are laminar (two labels are disjoint or one inside the other), so
    picking greedily under them is exact. The rest are kept by filtering and by the final check. The row of frames with
    cap 1 is among them. Frame f conflicts with foe[foe_first[f] : foe_first[f + 1]]. ``tolled`` are those rows beyond
    the nested ones that have few labels, see ``tolls``.
    """

    row: Ints
    cap: Ints
    nested: int
    frame: Ints
    foe_first: Ints
    foe: Ints
    tolled: Ints


class Wishes(Bundle):
    """``wanted`` [M]: rendition of a frame that must be in; how many such frames; ``bonus`` tops any difference."""

    wanted: NDArray[np.bool_]
    frames: int
    bonus: float


class Instance(Bundle):
    """M renditions left, ``size`` chosen, R roles, K tone axes, D tangent and X place dimensions, G rows of caps.

    In parts, so that a kernel is handed what it needs and no more: long argument lists cost time at every call.
    """

    size: int
    roles: Roles
    tones: Tones
    places: Places
    caps: Caps
    wishes: Wishes

    @property
    def total(self) -> int:
        """M, the number of renditions left."""
        return len(self.caps.frame)


def instance_of(problem: Problem, restriction: Restriction, keep: Ints | None = None) -> tuple[Instance, Ints]:
    """Return the instance of the renditions that may be chosen at all (or of ``keep``), and their indexes."""
    item = np.flatnonzero(_usable(problem, restriction)) if keep is None else keep
    ids, frame = np.unique(problem.frame[item], return_inverse=True)
    frame = frame.astype(np.int64)
    row, cap, nested = _rows(problem, restriction, item, frame)
    foe_first, foe = _foes(problem, ids)
    pair_weight = problem.variety_weight / max(1, problem.size - 1)
    place, own = embedded(problem, item)
    gain = np.where(np.isnan(problem.gain[item]), NOTHING, problem.gain[item])
    most = np.minimum(problem.role_max, problem.size)
    width = problem.tone_reach + problem.tone_slack
    instance = Instance(
        problem.size,
        Roles(gain, problem.role_min, most),
        Tones(np.ascontiguousarray(problem.tone[item]), problem.tone_weight, problem.tone_slack, width),
        Places(
            pair_weight,
            problem.variety_kind == "euclidean",
            place,
            pair_weight * problem.size * own,
            np.ascontiguousarray(problem.place[item]),
        ),
        Caps(row, cap, nested, frame, foe_first, foe, _tolled(row, nested)),
        Wishes(np.isin(problem.frame[item], problem.include), len(problem.include), _bonus(problem)),
    )
    return instance, item


def _usable(problem: Problem, restriction: Restriction) -> NDArray[np.bool_]:
    out = np.concatenate([problem.exclude, np.array(sorted(restriction.barred), dtype=np.int64)])
    out = np.concatenate([out, *(sorted(frames) for frames, most in restriction.differ if most <= 0)]).astype(np.int64)
    playable = (~np.isnan(problem.gain) & (problem.role_max > 0)).any(axis=1)
    roomy = ~((problem.group >= 0) & (problem.group_cap == 0)[:, None]).any(axis=0)
    return playable & roomy & ~np.isin(problem.frame, out)  # type: ignore[no-any-return]


def _rows(problem: Problem, restriction: Restriction, item: Ints, frame: Ints) -> tuple[Ints, Ints, int]:
    """Return all rows of caps with the longest nested chain first."""
    group, group_cap = problem.group[:, item], problem.group_cap
    for frames, most in restriction.differ:
        mark = np.where(np.isin(problem.frame[item], sorted(frames)), 0, -1)
        group, group_cap = np.vstack([group, mark]), np.append(group_cap, most)
    row, cap, chains = nested_chains(frame, group, group_cap)
    lengths = np.diff(chains)
    best = int(np.argmax(lengths))
    order = np.r_[chains[best] : chains[best + 1], 0 : chains[best], chains[best + 1] : len(cap)]
    return np.ascontiguousarray(row[order]), cap[order], int(lengths[best])


def _tolled(row: Ints, nested: int) -> Ints:
    few = [g for g in range(nested, len(row)) if 0 <= row[g].max(initial=-1) < MOST_LABELS]
    return np.array(few, dtype=np.int64)


def _foes(problem: Problem, ids: Ints) -> tuple[Ints, Ints]:
    """Return the conflicting frames of each frame: those of f are foe[foe_first[f] : foe_first[f + 1]]."""
    pairs = problem.conflict[np.isin(problem.conflict, ids).all(axis=1)]
    pairs = np.searchsorted(ids, np.concatenate([pairs, pairs[:, ::-1]]))
    pairs = pairs[np.argsort(pairs[:, 0], kind="stable")]
    first = np.searchsorted(pairs[:, 0], np.arange(len(ids) + 1))
    return first.astype(np.int64), np.ascontiguousarray(pairs[:, 1], dtype=np.int64)


def _bonus(problem: Problem) -> float:
    """Return a power of two above any difference of two sets' scores, so that wanted frames are picked first."""
    spread = np.nanmax(np.abs(problem.gain), initial=1.0) + np.ptp(problem.tone, axis=0) @ problem.tone_weight
    place = problem.place - problem.place.mean(axis=0)
    spread += 4.0 * problem.variety_weight * (1.0 + (place**2).sum(axis=1).max(initial=0.0))
    return float(2.0 ** np.ceil(np.log2(4.0 * problem.size * (1.0 + spread))))


def lengths(instance: Instance) -> tuple[int, int, int]:
    """Return K, D, R."""
    return instance.tones.tone.shape[1], instance.places.tangent.shape[1], instance.roles.gain.shape[1]
