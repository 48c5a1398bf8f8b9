"""What the kernels write to: one workspace a thread."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bundle import Bundle
from setsolver.solver.compiled import NOTHING
from setsolver.solver.instance import lengths

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Instance

__all__ = ["MOST_AXES", "Aside", "Corners", "RoleMoves", "Work", "workspace"]

MOST_AXES = 4
"""Look axes whose ends are bounded together: 2^4 corners."""


class RoleMoves(Bundle):
    """Scratch of ``roles.allocate``: role of each member, counts [R], and chains of role changes [R, R]."""

    role: Ints
    tally: Ints
    loss: Floats
    via: Ints
    mover: Ints
    todo: Ints


class Aside(Bundle):
    """State of the node being split, kept while its halves are worked."""

    members: Ints
    low: Floats
    high: Floats
    anchor: Floats
    premium: Floats


class Corners(Bundle):
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


class Work(Bundle):
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
