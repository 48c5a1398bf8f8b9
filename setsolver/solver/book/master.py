"""One sequence of spreads out of many: whole numbers, every rule of the book exactly, by CP-SAT.

Spreads have one order in which any of them may follow each other, so a book is a choice of them. What their neighbours
are matters for pace, opening and closing: the pace of the last spread chosen flows along that order. Thrice the same
kind running is forbidden where it shows up.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from setsolver.domain.book import Book, Spread, worth
from setsolver.domain.book_rules import average_ends
from setsolver.solver.book.pricing import asks_close, asks_open
from setsolver.solver.cpsat import solved

__all__ = ["Chosen", "choose"]

SCALE = 100_000
"""Whole steps in a point."""


@dataclass(frozen=True)
class Chosen:
    """spreads : in order, empty where none was found. bound : no book of these spreads has more points.

    status : "optimal", "feasible", "infeasible" or "unknown".
    """

    spreads: tuple[Spread, ...]
    bound: float
    status: str


def choose(
    book: Book,
    spreads: Sequence[Spread],
    *,
    locked: frozenset[Spread] = frozenset(),
    hint: Sequence[Spread] = (),
    bound: float = np.inf,
    deadline: float | None = None,
    work: float | None = None,
    seed: int = 0,
    stop: Callable[[], bool] | None = None,
) -> Chosen:
    """Return the best book of some spreads.

    Parameters
    ----------
    locked : spreads that must be in. hint : a book to start from. bound : points
    that no book has more of, as is known already. deadline : moment of ``time.perf_counter()``. work : CP-SAT's
    deterministic time, about seconds, after which it ends in every run alike.
    """
    pool = sorted(dict.fromkeys(spreads), key=lambda spread: spread.order)
    model = _Model(book, pool, locked)
    model.hint(hint)
    model.at_most(bound)
    while True:
        left = None if deadline is None else deadline - time.perf_counter()
        if (left is not None and left <= 0.05) or (work is not None and work <= 0.0):
            return Chosen((), float("inf"), "unknown")
        found = model.solve(left, work, seed, stop)
        work = None if work is None else work - model.spent
        runs = _runs(found.spreads)
        if not runs:
            return found
        for run in runs:
            model.forbid(run)
        model.hint(())


def _runs(chosen: tuple[Spread, ...]) -> list[tuple[Spread, Spread, Spread]]:
    return [(a, b, c) for a, b, c in zip(chosen, chosen[1:], chosen[2:], strict=False) if a.kind == b.kind == c.kind]


class _Model:
    """The book over a sorted pool of spreads."""

    def __init__(self, book: Book, pool: list[Spread], locked: frozenset[Spread]) -> None:
        self.book, self.pool = book, pool
        self.model = cp_model.CpModel()
        self.on = [self.model.new_bool_var(f"on{n}") for n in range(len(pool))]
        for n, spread in enumerate(pool):
            if spread in locked:
                self.model.add(self.on[n] == 1)
        self._frames()
        self._counts()
        self._places()
        cost = [*self._people(), *self._pace()]
        points = sum(round(SCALE * worth(book, s)) * on for s, on in zip(pool, self.on, strict=True))
        self.points = points - sum(cost)
        self.spent = 0.0
        self.model.maximize(self.points)

    def _frames(self) -> None:
        users: dict[int, list[Any]] = {}
        for n, spread in enumerate(self.pool):
            for frame in spread.frames:
                users.setdefault(frame, []).append(self.on[n])
        for own in users.values():
            if len(own) > 1:
                self.model.add_at_most_one(own)
        for number, cap in enumerate(self.book.group_cap.tolist()):
            labels: dict[int, list[Any]] = {}
            for n, spread in enumerate(self.pool):
                for label in self.book.group[number, list(spread.rows)].tolist():
                    if label >= 0:
                        labels.setdefault(label, []).append(self.on[n])
            for own in labels.values():
                if len(own) > cap:
                    self.model.add(sum(own) <= cap)
        for a, b in self.book.problem.conflict.tolist():
            if a in users and b in users:
                self.model.add_at_most_one([*users[a], *users[b]])
        for frame in self.book.problem.include.tolist():
            self.model.add(sum(users.get(frame, [])) >= 1)

    def _counts(self) -> None:
        least, most = self.book.spreads
        self.model.add(sum(self.on) >= least)
        self.model.add(sum(self.on) <= most)
        for end, way in zip(average_ends(self.book), (1, -1), strict=True):
            over = [way * (len(s.rows) * end.denominator - end.numerator) for s in self.pool]
            self.model.add(sum(one * on for one, on in zip(over, self.on, strict=True)) >= 0)

    def _places(self) -> None:
        for passage in range(len(self.book.chapter) - 1):
            crossing = [on for s, on in zip(self.pool, self.on, strict=True) if s.first == passage and s.last > passage]
            if len(crossing) > 1:
                self.model.add_at_most_one(crossing)
        for chapter in range(self.book.chapters):
            own = [on for s, on in zip(self.pool, self.on, strict=True) if self.book.chapter[s.first] == chapter]
            self.model.add(sum(own) >= 1)
        for asks, may, pool in (
            (asks_open, self.book.may_open, range(len(self.pool))),
            (asks_close, self.book.may_close, range(len(self.pool) - 1, -1, -1)),
        ):
            if asks(self.book):
                self._first_of(pool, may)

    def _first_of(self, order: Sequence[int], may: Callable[[Spread], bool]) -> None:
        """Let the first spread that is chosen along an order be one that may be."""
        before: Any = None
        for n in order:
            if not may(self.pool[n]):
                self.model.add(self.on[n] == 0) if before is None else self.model.add_implication(self.on[n], before)
            now = self.model.new_bool_var("")
            self.model.add_implication(self.on[n], now)
            if before is None:
                self.model.add_implication(now, self.on[n])
            else:
                self.model.add_implication(before, now)
                self.model.add_bool_or([now.negated(), before, self.on[n]])
            before = now

    def _people(self) -> list[Any]:
        cost = []
        if self.book.people <= 0:
            return []
        for chapter, usual in enumerate(self.book.usual.tolist()):
            if usual != usual:  # noqa: PLR0124 - NaN: nothing is asked
                continue
            own = [(s, on) for s, on in zip(self.pool, self.on, strict=True) if self.book.chapter[s.first] == chapter]
            price, even = SCALE * self.book.people, self.book.even  # shares rounded before would be off by more
            beyond = [round(price * (s.people - (usual + even) * len(s.rows))) for s, _ in own]
            below = [round(price * ((usual - even) * len(s.rows) - s.people)) for s, _ in own]
            paid = self.model.new_int_var(0, sum(max(0, *pair) for pair in zip(beyond, below, strict=True)), "")
            for side in (beyond, below):
                self.model.add(sum(one * on for one, (_, on) in zip(side, own, strict=True)) <= paid)
            cost.append(paid)
        return cost

    def _pace(self) -> list[Any]:
        """Return what spreads cost that follow one of their own pace.

        The pace of the last spread chosen so far flows along the order: a spread takes it in and gives its own on. Such
        a flow leaves the linear program of CP-SAT little to cheat with.
        """
        if self.book.pace <= 0:
            return []
        cost: list[Any] = []
        price = round(SCALE * self.book.pace)
        state: list[Any] = [1, 0, 0]  # none so far, quiet, full
        for spread, on in zip(self.pool, self.on, strict=True):
            after = [self.model.new_bool_var("") for _ in state]  # this spread, after none, a quiet or a full one
            self.model.add(sum(after) == on)
            now = [self.model.new_bool_var("") for _ in state]
            for pace, (was, is_, taken) in enumerate(zip(state, now, after, strict=True)):
                self.model.add(is_ == was - taken + (on if pace == 1 + spread.full else 0))
            cost.append(price * after[1 + spread.full])
            state = now
        return cost

    def forbid(self, run: tuple[Spread, Spread, Spread]) -> None:
        """Let three spreads not follow each other."""
        at = [self.pool.index(spread) for spread in run]
        between = [self.on[n] for n in range(at[0] + 1, at[2]) if n != at[1]]
        self.model.add_bool_or([*(self.on[n].negated() for n in at), *between])

    def hint(self, spreads: Sequence[Spread]) -> None:
        """Begin the search near a book."""
        self.model.clear_hints()
        if spreads:
            there = set(spreads)
            for n, spread in enumerate(self.pool):
                self.model.add_hint(self.on[n], spread in there)

    def at_most(self, bound: float) -> None:
        """Let no book have more points: what the linear program has proven of all spreads there are."""
        if np.isfinite(bound):
            self.model.add(self.points <= ceil(SCALE * bound) + len(self.pool))

    def solve(self, left: float | None, work: float | None, seed: int, stop: Callable[[], bool] | None) -> Chosen:
        """Return the best book without the runs forbidden so far."""
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = seed
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2  # two workers would share the rest out and leave the bound to none
        if left is not None:
            solver.parameters.max_time_in_seconds = left
        if work is not None:
            solver.parameters.max_deterministic_time = work
        watch = _Watch(stop, solver)
        status = solved(solver, self.model, watch)
        self.spent = solver.response_proto.deterministic_time
        name = solver.status_name(status).lower()
        if name not in ("optimal", "feasible"):
            return Chosen((), float("-inf") if name == "infeasible" else float("inf"), name)
        chosen = tuple(s for s, on in zip(self.pool, self.on, strict=True) if solver.value(on))
        return Chosen(chosen, solver.best_objective_bound / SCALE, name)


class _Watch(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]  # OR-Tools has no types
    """Ends the search, at the next book found, where somebody asks for it."""

    def __init__(self, stop: Callable[[], bool] | None, solver: cp_model.CpSolver) -> None:
        super().__init__()
        self._stop, self._solver = stop, solver

    def on_solution_callback(self) -> None:
        if self._stop is not None and self._stop():
            self.stop_search()
