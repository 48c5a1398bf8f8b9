"""The best round of a descent: kept while others are tried, put back in the end.

A round is a set in ``top``, its weights, and the anchor and premiums that gave them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import copy_row, step

if TYPE_CHECKING:
    from setsolver.solver.workspace import Work

__all__ = ["keep_round", "restore_round"]


@step
def keep_round(work: Work, left: int, m: int) -> None:
    """Keep the round at hand."""
    for j in range(left):
        work.kept_weight[j] = work.weight[j]
    for b in range(m):
        work.kept_top[b] = work.top[b]
    copy_row(work.anchor, work.kept_anchor)
    copy_row(work.premium, work.kept_premium)


@step
def restore_round(work: Work, left: int, m: int) -> None:
    """Put the kept round back in place, ``picked`` too."""
    for j in range(left):
        work.weight[j] = work.kept_weight[j]
        work.picked[j] = False
    for b in range(m):
        work.top[b] = work.kept_top[b]
        work.picked[work.top[b]] = True
    copy_row(work.kept_anchor, work.anchor)
    copy_row(work.kept_premium, work.premium)
