"""The problem as the kernels see it: arrays of the renditions that a question leaves, and a workspace a thread."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.solver.compiled import NOTHING
from setsolver.solver.embedding import embedded
from setsolver.solver.nesting import nested_chains

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Floats, Ints, Problem
    from setsolver.solver.restriction import Restriction

__all__ = [
    "MOST_AXES",
    "Caps",
    "Corners",
    "Instance",
    "Places",
    "RoleMoves",
    "Roles",
    "Tones",
    "Wishes",
    "Work",
    "instance_of",
    "lengths",
    "workspace",
]


MOST_LABELS = 64
"""Rows of caps that do not nest have tolls up to so many labels."""

MOST_AXES = 4
"""Look axes whose ends are bounded together: 2^4 corners."""


class Roles(NamedTuple):
    """``gain`` [M, R] with NOTHING for "cannot"; least and most of each role [R], most never above the size."""

    gain: Floats
    least: Ints
    most: Ints


class Tones(NamedTuple):
    """``tone`` [M, K], and [K] each: points a unit, slack, and ``width`` = reach + slack."""

    tone: Floats
    weight: Floats
    slack: Floats
    width: Floats


class Places(NamedTuple):
    """``tangent`` [M, D] and ``own`` [M] (points) bound variety, see ``embedding``; ``spot`` [M, X] is exact."""

    pair_weight: float
    euclidean: bool
    tangent: Floats
    own: Floats
    spot: Floats


class Caps(NamedTuple):
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


class Wishes(NamedTuple):
    """``wanted`` [M]: rendition of a frame that must be in; how many such frames; ``bonus`` tops any difference."""

    wanted: NDArray[np.bool_]
    frames: int
    bonus: float


class Instance(NamedTuple):
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


class RoleMoves(NamedTuple):
    """Scratch of ``roles.allocate``: role of each member, counts [R], and chains of role changes [R, R]."""

    role: Ints
    tally: Ints
    loss: Floats
    via: Ints
    mover: Ints
    todo: Ints


class Aside(NamedTuple):
    """State of the node being split, kept while its halves are worked."""

    members: Ints
    low: Floats
    high: Floats
    anchor: Floats
    premium: Floats


class Corners(NamedTuple):
    """Scratch of ``corners``. First index of most: how many axes have a side, so row d is set up for axis[:d + 1].

    axis : the axes in their order; hidden [K] : points hidden on each; side : 0 low, 1 high, 2 both done.
    line [3, axis, M] : charge of each candidate at the low end, the high end, and by the box; members : of members.
    rest [M] : charge of all other axes; alive [M] : all candidates; kept [M] : see ``bound_by_corners``.
    place, few, top, anchor, premium : candidates left as positions in ``alive``, the set and point to start from.
    pivot, loss [1] : of the worst corner.
    """

    axis: Ints
    hidden: Floats
    side: Ints
    line: Floats
    members: Floats
    rest: Floats
    alive: Ints
    kept: NDArray[np.bool_]
    place: Ints
    few: Ints
    top: Ints
    anchor: Floats
    premium: Floats
    pivot: Ints
    loss: Floats


class Work(NamedTuple):
    """Everything a thread writes to. The node at hand is members[:n], alive[:left], low, high, anchor, premium.

    full [nested rows, labels] : scratch of ``eliminate.losses``, -1 everywhere outside it.
    """

    members: Ints
    alive: Ints
    low: Floats
    high: Floats
    anchor: Floats
    premium: Floats
    parent: Ints
    cost: Floats
    weight: Floats
    kept_weight: Floats
    best_gain: Floats
    base: Floats
    gain_premium: Floats
    loss: Floats
    picked: NDArray[np.bool_]
    top: Ints
    kept_top: Ints
    trial: Ints
    kept_anchor: Floats
    kept_premium: Floats
    kink: Floats
    score: Floats
    found: Ints
    spent: Ints
    tuning: Floats
    full: Ints
    toll: Floats
    toll_over: Floats
    toll_moved: NDArray[np.bool_]
    moves: RoleMoves
    aside: Aside
    corners: Corners


def lengths(instance: Instance) -> tuple[int, int, int]:
    """Return K, D, R."""
    return instance.tones.tone.shape[1], instance.places.tangent.shape[1], instance.roles.gain.shape[1]


def workspace(instance: Instance, tuning: Floats) -> Work:
    """Return buffers for one thread."""
    total, size = instance.total, instance.size
    axes, dims, roles = lengths(instance)
    most = max(total, size + 1)
    labels = int(instance.caps.row[instance.caps.tolled].max(initial=-1)) + 1
    return Work(
        members=np.zeros(size + 1, dtype=np.int64),
        alive=np.empty(most, dtype=np.int64),
        low=np.empty(axes),
        high=np.empty(axes),
        anchor=np.zeros(dims),
        premium=np.zeros(roles),
        parent=np.empty(most, dtype=np.int64),
        cost=np.empty(most),
        weight=np.empty(most),
        kept_weight=np.empty(most),
        best_gain=np.empty(most),
        base=np.empty(most),
        gain_premium=np.empty(roles),
        loss=np.empty(most),
        picked=np.zeros(most, dtype=np.bool_),
        top=np.empty(size + 1, dtype=np.int64),
        kept_top=np.empty(size + 1, dtype=np.int64),
        trial=np.empty(size + 1, dtype=np.int64),
        kept_anchor=np.empty(dims),
        kept_premium=np.empty(roles),
        kink=np.empty(2 * size + 2),
        score=np.full(1, NOTHING),
        found=np.zeros(size, dtype=np.int64),
        spent=np.zeros(2, dtype=np.int64),
        tuning=tuning,
        full=np.full((instance.caps.nested, int(instance.caps.row.max(initial=0)) + 1), -1, dtype=np.int64),
        toll=np.zeros((len(instance.caps.tolled), labels)),
        toll_over=np.zeros((len(instance.caps.tolled), labels)),
        toll_moved=np.zeros(1, dtype=np.bool_),
        moves=RoleMoves(
            role=np.empty(size + 1, dtype=np.int64),
            tally=np.zeros(roles, dtype=np.int64),
            loss=np.zeros((roles, roles)),
            via=np.zeros((roles, roles), dtype=np.int64),
            mover=np.zeros((roles, roles), dtype=np.int64),
            todo=np.zeros((2, roles * roles + 2), dtype=np.int64),
        ),
        aside=Aside(
            members=np.zeros(size + 1, dtype=np.int64),
            low=np.empty(axes),
            high=np.empty(axes),
            anchor=np.empty(dims),
            premium=np.empty(roles),
        ),
        corners=_corners(most, size, lengths(instance)),
    )


def _corners(most: int, size: int, shape: tuple[int, int, int]) -> Corners:
    axes, dims, roles = shape
    deep = min(axes, MOST_AXES) + 1
    return Corners(
        axis=np.zeros(axes, dtype=np.int64),
        hidden=np.zeros(axes),
        side=np.zeros(deep, dtype=np.int64),
        line=np.empty((3, deep - 1, most)),
        members=np.zeros((2, deep)),
        rest=np.empty(most),
        alive=np.empty(most, dtype=np.int64),
        kept=np.zeros(most, dtype=np.bool_),
        place=np.empty((deep, most), dtype=np.int64),
        few=np.zeros(deep, dtype=np.int64),
        top=np.zeros((deep, size + 1), dtype=np.int64),
        anchor=np.zeros((deep, dims)),
        premium=np.zeros((deep, roles)),
        pivot=np.zeros(1, dtype=np.int64),
        loss=np.zeros(1),
    )
