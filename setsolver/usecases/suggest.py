"""The main job: from a measured catalog and a brief to the best set and alternates, or why there is none."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from setsolver.errors import NoSet
from setsolver.layout import check_wall
from setsolver.usecases.effort import Effort
from setsolver.usecases.session import Session

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.brief import Brief
    from setsolver.domain.outcome import Outcome
    from setsolver.domain.problem import Problem
    from setsolver.domain.snapshot import Snapshot

__all__ = ["ALTERNATES", "suggest"]

ALTERNATES = 3


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
    """Return the outcome of a brief on a catalog; see ``Session.outcome``.

    Parameters
    ----------
    on_problem : given the bare problem before it is solved, where the brief comes to one.
    """
    check_wall(brief)
    session = Session(snapshot, brief, effort=effort)
    if on_problem is not None:
        with suppress(NoSet):  # known before any search: the outcome says why
            on_problem(session.assembly.problem)
    return session.outcome(alternates=alternates, differ=differ, prices=prices)
