"""The best set and alternates of several kinds: another set altogether, another look, another lead, less correction."""

from __future__ import annotations

import time
from dataclasses import replace
from itertools import cycle, islice
from typing import TYPE_CHECKING, NamedTuple

from setsolver.domain.columns import moments_of
from setsolver.domain.last import Last
from setsolver.solver import alternates
from setsolver.usecases.solve import solve

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from setsolver.domain.problem import Problem
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice, Solution
    from setsolver.solver import Warm
    from setsolver.usecases.effort import Effort

__all__ = ["Begun", "kinds_of", "likes_of", "solve_with_alternates"]

ORDER = ("differs", "look", "lead", "less_effort")
"""In which order alternates are offered: the runner-up first, then what a client asks for: another mood, another
picture to begin with, less correction (common practice, no source)."""


def kinds_of(count: int) -> tuple[str, ...]:
    """Return the kinds of the first ``count`` alternates."""
    return tuple(islice(cycle(ORDER), count))


def likes_of(snapshot: Snapshot) -> dict[int, frozenset[int]]:
    """Return to every frame that has any the frames that are one picture with it to a client, itself among them.

    These are the frames of its moment, in which its series lies, and its near-duplicates. Frames of one moment share
    one set: a moment of a thousand frames would else name a million.
    """
    return _likes.of((moments_of(snapshot.frames), snapshot.pairs), lambda: _likes_of(snapshot))


_likes: Last[dict[int, frozenset[int]]] = Last()


def _likes_of(snapshot: Snapshot) -> dict[int, frozenset[int]]:
    moments: dict[int, list[int]] = {}
    for frame, moment in enumerate(moments_of(snapshot.frames).tolist()):
        if moment >= 0:
            moments.setdefault(moment, []).append(frame)
    likes: dict[int, frozenset[int]] = {}
    for mates in (frozenset(frames) for frames in moments.values() if len(frames) > 1):
        likes |= dict.fromkeys(mates, mates)
    for pair in snapshot.pairs:
        for one, other in (pair, pair[::-1]):
            mates = likes.get(one, frozenset({one}))
            if other not in mates:
                likes[one] = mates | {other}
    return likes


class Begun(NamedTuple):
    """What is known already: the best set and the alternates of so many kinds, fewer where a kind had none."""

    solution: Solution
    kinds: int


def solve_with_alternates(
    problem: Problem,
    effort: Effort,
    kinds: Sequence[str],
    differ: int,
    alike: Mapping[int, frozenset[int]] | None = None,
    warm: Warm | None = None,
    begun: Begun | None = None,
) -> Solution:
    """Return the best set, then one alternate of each kind, each with its own bound; or why there is no set.

    Any two sets differ by at least ``differ`` frames, frames that are alike counted as one. Where a kind has no set
    left (no other look, say), the runner-up of those before is offered instead. A warm solver's sets are where each
    search starts, and it knows what is found. Where the answer to the first kinds is there already, each of the others
    has its share of the whole time.
    """
    start = time.perf_counter()
    solution, answered = begun or Begun(solve(problem, effort, warm), 0)
    if solution.best is None:
        return solution
    sets = list(solution.solutions)
    nodes = solution.nodes
    for done, kind in enumerate(kinds[answered:], answered):
        deadline = _deadline(start, effort.time_limit, len(kinds) - done)
        found, more = _one(
            problem,
            sets,
            (kind, "differs") if kind != "differs" else (kind,),
            effort,
            _Apart(differ, alike or {}),
            deadline,
            () if warm is None else warm.starts(problem),
        )
        nodes += more
        if found is not None:
            sets.append(found)
            if warm is not None:
                warm.know(found)
    seconds = time.perf_counter() - start + (0.0 if begun is None else solution.seconds)
    return replace(solution, solutions=tuple(sets), nodes=nodes, seconds=seconds)


class _Apart(NamedTuple):
    differ: int
    alike: Mapping[int, frozenset[int]]


def _one(
    problem: Problem,
    sets: list[Choice],
    kinds: tuple[str, ...],
    effort: Effort,
    apart: _Apart,
    deadline: float | None,
    start: Sequence[Choice],
) -> tuple[Choice | None, int]:
    nodes = 0
    for kind in kinds:
        (answer,) = alternates.find(
            problem,
            sets[0],
            [kind],
            differ=apart.differ,
            alike=apart.alike,
            before=sets[1:],
            deadline=deadline,
            seed=effort.seed,
            workers=effort.workers,
            stop=effort.stop,
            progress=effort.progress,
            start=start,
        )
        nodes += answer.found.nodes
        if answer.found.choice is not None:
            return answer.found.choice, nodes
    return None, nodes


def _deadline(start: float, limit: float | None, left: int) -> float | None:
    """Share what is left of the time evenly between the alternates still to be found."""
    if limit is None:
        return None
    now = time.perf_counter()
    return now + max(0.0, start + limit - now) / left
