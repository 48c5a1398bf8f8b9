"""Tolls: what a candidate pays for its label in a cap that does not nest with the others.

``pick`` keeps nested caps exactly and knows nothing of the rest. A toll t >= 0 on a label with cap c joins the bound as
``t c - t (how many carry the label)``, which is at least 0 for every set that keeps the cap: so any tolls give a bound
(Lagrange). Rows of many labels have no tolls; they are kept by filtering and by the final check, as conflicts are.

Invariant (tested with ``bound``): for any tolls no set of a node scores above its bound.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import step

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats
    from setsolver.solver.instance import Caps
    from setsolver.solver.workspace import Work

__all__ = ["adjust_tolls", "toll_due", "toll_of"]

STEP = 0.7  # share of the step that would bring the bound to the bar were it linear (Polyak)
SURE = 1e15  # an excess above this means that no set is known


@step
def toll_of(caps: Caps, toll: Floats, item: int) -> float:
    """Return what a rendition pays."""
    total = 0.0
    for x in range(caps.tolled.shape[0]):
        label = caps.row[caps.tolled[x], item]
        if label >= 0:
            total += toll[x, label]
    return total


@step
def toll_due(caps: Caps, toll: Floats) -> float:
    """Return the constant that tolls add to a bound."""
    total = 0.0
    for x in range(caps.tolled.shape[0]):
        for label in range(toll.shape[1]):
            total += toll[x, label] * caps.cap[caps.tolled[x]]
    return total


@step
def adjust_tolls(caps: Caps, work: Work, n: int, m: int, excess: float) -> None:
    """Move the tolls towards what the set (members and ``top``) carries too much or too little of."""
    if caps.tolled.shape[0] == 0 or excess > SURE:
        return
    over, norm = work.toll_over, 0.0
    for x in range(caps.tolled.shape[0]):
        row = caps.tolled[x]
        for label in range(over.shape[1]):
            over[x, label] = -caps.cap[row]
        for i in range(n + m):
            item = work.members[i] if i < n else work.alive[work.top[i - n]]
            if caps.row[row, item] >= 0:
                over[x, caps.row[row, item]] += 1.0
        for label in range(over.shape[1]):
            if over[x, label] > 0.0 or work.toll[x, label] > 0.0:
                norm += over[x, label] ** 2
    if norm == 0.0:
        return
    for x in range(caps.tolled.shape[0]):
        for label in range(over.shape[1]):
            if over[x, label] > 0.0 or work.toll[x, label] > 0.0:
                work.toll[x, label] = max(0.0, work.toll[x, label] + STEP * excess / norm * over[x, label])
    work.toll_moved[0] = True
