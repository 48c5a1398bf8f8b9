"""The main job: from a measured catalog and a brief to the best set and alternates, or why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.errors import NoSet
from setsolver.layout import check_wall
from setsolver.rules import assemble
from setsolver.solver.ready import make_ready
from setsolver.usecases.alternates import kinds_of, likes_of, solve_with_alternates
from setsolver.usecases.effort import Effort
from setsolver.usecases.outcome import to_outcome, without_set
from setsolver.usecases.prices import rule_prices

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.brief import Brief
    from setsolver.domain.outcome import Outcome
    from setsolver.domain.problem import Problem
    from setsolver.domain.snapshot import Snapshot

__all__ = ["ALTERNATES", "default_difference", "suggest"]

ALTERNATES = 3

WORTH_SAYING = 1.5
"""Seconds of compiling, or of reading what was compiled, from which they are said."""


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
    effort: Effort = Effort(),
    prices: bool = False,
    on_problem: Callable[[Problem], None] | None = None,
) -> Outcome:
    """Return the outcome of a brief on a catalog: the best set first, then alternates, or why there is no set.

    Parameters
    ----------
    alternates : how many further sets. differ : by how many frames at least; None = half the set.
    effort : time limit, seed and workers of the search.
    prices : also say what each hard rule costs. on_problem : given the bare problem before it is solved.

    Raises
    ------
    BadBrief
        Where the brief does not fit the catalog at all (size above it, an unknown frame, ...), or its prints the wall.
    """
    check_wall(brief)
    try:
        assembly = assemble(snapshot, brief)
    except NoSet as error:
        return without_set(snapshot, brief, error)
    if on_problem is not None:
        on_problem(assembly.problem)
    waited = make_ready()
    differ = min(brief.size, default_difference(brief.size) if differ is None else differ)
    solution = solve_with_alternates(assembly.problem, effort, kinds_of(alternates), differ, likes_of(snapshot))
    outcome = to_outcome(assembly, solution, notes=_compiled(waited))
    if not prices or solution.best is None:
        return outcome
    return outcome.model_copy(update={"prices": rule_prices(assembly, solution.best, effort)})


def _compiled(seconds: float) -> tuple[str, ...]:
    """Return a note where compiling kept the user waiting beyond the time of solving that the outcome says."""
    if seconds < WORTH_SAYING:
        return ()
    return (f"The solver was compiled first, once after installing: {seconds:.0f} s more than the time of solving.",)
