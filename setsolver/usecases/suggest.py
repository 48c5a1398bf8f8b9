"""The main job: from a measured catalog and a brief to the best set, alternates, and a proof sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.rules import assemble
from setsolver.solver import solve
from setsolver.usecases.outcome import to_outcome

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.brief import Brief
    from setsolver.domain.outcome import Outcome
    from setsolver.domain.snapshot import Snapshot

__all__ = ["ALTERNATES", "TIME_LIMIT", "default_difference", "suggest"]

ALTERNATES = 3
TIME_LIMIT = 60.0
"""Seconds for the best set and all alternates; a gap that is left is said."""


def default_difference(size: int) -> int:
    """Return by how many frames alternates differ unless told otherwise: half the set, rounded up.

    A client who is shown an alternate expects another set, not the same one with a frame swapped (common practice, no
    source).
    """
    return max(1, (size + 1) // 2)


def suggest(
    snapshot: Snapshot,
    brief: Brief,
    *,
    alternates: int = ALTERNATES,
    differ: int | None = None,
    time_limit: float | None = TIME_LIMIT,
    seed: int = 0,
    workers: int | None = None,
    progress: Callable[[float, float], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Outcome:
    """Return the outcome of a brief on a catalog: the best set first, then alternates, or why there is no set.

    Parameters
    ----------
    alternates : how many further sets. differ : by how many frames at least; None = half the set.
    time_limit : seconds for everything, None = until proven.
    progress : told (score, bound) now and then. stop : asked now and then; True ends with what there is.

    Raises
    ------
    BadBrief
        Where the brief does not fit the catalog at all (size above it, an unknown frame, ...).
    """
    assembly = assemble(snapshot, brief)
    solution = solve(
        assembly.problem,
        time_limit=time_limit,
        alternates=alternates,
        differ=default_difference(brief.size) if differ is None else differ,
        seed=seed,
        workers=workers,
        progress=progress,
        stop=stop,
    )
    return to_outcome(assembly, solution)
