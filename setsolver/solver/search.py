"""The exact search behind every question: the best set under the rules and under what the question adds to them."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.polish import polished

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.problem import Floats, Problem
    from setsolver.domain.solution import Choice

__all__ = ["Found", "Restriction", "search"]


@dataclass(frozen=True)
class Restriction:
    """What a question adds to the rules of the problem.

    Attributes
    ----------
    differ : pairs (frames, most): at most ``most`` of these frames may be in. "Differs by d frames from an earlier set of
        N" is (its frames, N - d).
    boxes : the look must lie in one of these boxes (low [K], high [K]); empty = anywhere. Ends may be infinite.
    barred : frames that may not be in.
    """

    differ: tuple[tuple[frozenset[int], int], ...] = ()
    boxes: tuple[tuple[Floats, Floats], ...] = ()
    barred: frozenset[int] = field(default_factory=frozenset)


@dataclass(frozen=True)
class Found:
    """What a search found.

    Attributes
    ----------
    choice : the best set above the floor, its ``bound`` filled in; None where there is none or none was found.
    bound : no set under the question scores more; -inf where no set exists, at least the floor otherwise.
    nodes : search nodes opened.
    finished : True where the search ended by itself, so that no set above the floor is better than ``choice``.
    """

    choice: Choice | None
    bound: float
    nodes: int
    finished: bool


def search(
    problem: Problem,
    *,
    floor: float = -np.inf,
    restriction: Restriction | None = None,
    deadline: float | None = None,
    seed: int = 0,
    workers: int | None = None,
    stop: Callable[[], bool] | None = None,
    progress: Callable[[float, float], None] | None = None,
) -> Found:
    """Return the best set that scores more than ``floor``, with proof.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to stop with what is there.
    stop : asked now and then; True stops as the deadline does.
    progress : told (best score so far or -inf, bound so far) now and then.
    """
    return _Simple(problem, restriction or Restriction(), floor, deadline, stop).run()


class _Simple:
    def __init__(self, problem, restriction, floor, deadline, stop) -> None:
        self.p, self.r, self.floor, self.deadline, self.stop = problem, restriction, floor, deadline, stop
        self.best, self.nodes, self.stopped = None, 0, False
        self.gain = np.nanmax(np.where(np.isnan(problem.gain), -np.inf, problem.gain), axis=1)
        pairs = {(int(a), int(b)) for a, b in problem.conflict}
        self.pairs = pairs | {(b, a) for a, b in pairs}
        self.rows = [(problem.group[g], int(problem.group_cap[g])) for g in range(len(problem.group_cap))]
        for frames, most in self.r.differ:
            self.rows.append((np.where(np.isin(problem.frame, list(frames)), 0, -1), most))
        self.weight = problem.variety_weight / max(1, problem.size - 1)

    def run(self) -> Found:
        p = self.p
        alive = np.flatnonzero(
            np.isfinite(self.gain) & ~np.isin(p.frame, p.exclude) & ~np.isin(p.frame, list(self.r.barred))
        )
        distance = np.sqrt(((p.place[alive][:, None] - p.place[alive][None]) ** 2).sum(2))
        self.far = (distance**2 if p.variety_kind == "squared" else distance) * self.weight
        self.open = -np.inf
        self._node((), np.arange(len(alive)), alive)
        found = self.best.score if self.best else -np.inf
        bound = max(found, self.open if self.stopped else -np.inf, self.floor if self.best is None else -np.inf)
        choice = polished(p, self.best.chosen, self.r.boxes, bound) if self.best else None
        return Found(choice, bound, self.nodes, not self.stopped)

    def _bar(self) -> float:
        return self.best.score + 1e-9 if self.best else self.floor

    def _node(self, inside, rest, alive) -> None:
        p, n = self.p, self.p.size
        self.nodes += 1
        gain = self.gain[alive]
        if len(inside) == n:
            chosen = alive[list(inside)]
            found = polished(p, chosen, self.r.boxes)
            if found is not None and found.score > self._bar():
                self.best = found
            return
        left = n - len(inside)
        if len(rest) < left:
            return
        near = self.far[list(inside)][:, rest].sum(0) if inside else np.zeros(len(rest))
        value = gain[rest] + near + self.far[np.ix_(rest, rest)].max(1) * (left - 1) / 2
        order = np.argsort(-value, kind="stable")
        fixed = gain[list(inside)].sum() + self.far[np.ix_(list(inside), list(inside))].sum() / 2
        bound = fixed + value[order[:left]].sum()
        if bound <= self._bar():
            return
        if self.nodes % 64 == 0 and self._out_of_time():
            self.stopped = True
        if self.stopped:
            self.open = max(self.open, bound)
            return
        rest = rest[order]
        for at in range(len(rest) - left + 1):
            child = (*inside, rest[at])
            later = np.array([j for j in rest[at + 1 :] if self._goes(child, j, alive)], dtype=np.int64)
            self._node(child, later, alive)

    def _goes(self, inside, j, alive) -> bool:
        p, frames = self.p, self.p.frame[alive[list(inside)]]
        f = p.frame[alive[j]]
        if f in frames or any((int(f), int(g)) in self.pairs for g in frames):
            return False
        items = alive[[*inside, j]]
        return all(np.count_nonzero(row[items] == row[alive[j]]) <= cap for row, cap in self.rows if row[alive[j]] >= 0)

    def _out_of_time(self) -> bool:
        late = self.deadline is not None and time.perf_counter() > self.deadline
        return late or (self.stop is not None and self.stop())
