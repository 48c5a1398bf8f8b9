"""The best book: columns priced by duals until none is worth more, then a sequence, then what a better book might use.

The linear program over all spreads there are bounds the book from above. It is reached by column generation: the engine
proves for each lot that no spread is worth more than its tolls. The sequence chosen from the columns is proven best
where all spreads that could be part of a better one (reduced cost within the gap) are among them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from setsolver.domain.book import Book, Spread, book_score
from setsolver.domain.book_rules import broken_book
from setsolver.domain.problem import Floats
from setsolver.machine import cores
from setsolver.solver.book.apart import broken_circles, mates_of
from setsolver.solver.book.columns import PRICED_UNTIL, Columns
from setsolver.solver.book.found import BookFound
from setsolver.solver.book.greedy import greedy_book
from setsolver.solver.book.master import SCALE, choose
from setsolver.solver.book.pricing import Pricer
from setsolver.solver.book.relaxation import Relaxed, relax
from setsolver.solver.book.timing import Timing
from setsolver.solver.ready import make_ready

__all__ = ["BookFound", "solve_book"]

CLOSED = 0.005
"""Points of gap below which a book counts as proven best: what rounding to whole steps can make."""
GREEDY_UNTIL, SEQUENCE_UNTIL = 0.3, 0.75
"""Of the time: until when a book is made front to back, and until when the first sequence is looked for."""
SEQUENCE = 15.0
"""Work of a choice of a sequence, as CP-SAT counts it."""


def solve_book(
    book: Book,
    *,
    time_limit: float | None = None,
    seed: int = 0,
    workers: int | None = None,
    work: float | None = None,
    locked: Sequence[Spread] = (),
    known: Sequence[Spread] = (),
    earlier: Sequence[Spread] = (),
    progress: Callable[[float, float], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> BookFound:
    """Return the best book and how good it is proven to be.

    Parameters
    ----------
    time_limit : seconds; None = no end. work : how much work each step may take, 1 = as much as it takes by itself;
        None = until proven. The same work gives the same book on every machine, unless time ends it. locked : spreads
        that must be in. known : spreads from earlier, which need no pricing. earlier : the book from which this one is
        changed: the search begins there. progress : told (best score so far, bound so far). stop : asked now and then.
    """
    make_ready()
    timing = Timing(time_limit, stop, work)
    return _Run(book, timing, seed, workers or cores(), locked, known, earlier, progress).solve()


class _Run:
    def __init__(
        self,
        book: Book,
        timing: Timing,
        seed: int,
        workers: int,
        locked: Sequence[Spread],
        known: Sequence[Spread],
        earlier: Sequence[Spread],
        progress: Callable[[float, float], None] | None,
    ) -> None:
        self.book, self.timing, self.seed, self.workers = book, timing, seed, workers
        self.locked, self.progress = tuple(locked), progress
        self.pricer = Pricer(book, seed=seed)
        self.columns = Columns(book, self.pricer, timing, [*locked, *earlier, *known])
        self.earlier, self.known = tuple(earlier), bool(known)
        self.mates = mates_of(book)
        self.circles: set[tuple[int, ...]] = set()
        self.best: tuple[Spread, ...] = ()
        self.score, self.bound = -np.inf, _no_better(book)
        self.greedy: float | None = None
        self.value: float | None = None
        self.most = np.inf

    def solve(self) -> BookFound:
        """Return the answer."""
        ends = _without_ends(self.book)
        if ends:
            return BookFound((), -np.inf, -np.inf, "infeasible", self.timing.seconds, ends)
        with ThreadPoolExecutor(self.workers) as threads:
            if self.earlier:
                self._take(self.earlier)
            if not self.known:
                self.columns.first(threads)
            if not self.locked and not self.earlier:
                greedy = greedy_book(self.book, self.pricer, deadline=self.timing.until(GREEDY_UNTIL))
                self.timing.late(GREEDY_UNTIL)
                if greedy:
                    self.greedy = book_score(self.book, greedy)
                    self._take(greedy)
            relaxed = self._priced(threads)
            if relaxed.bought and self.value is not None:
                return self._none(relaxed)
            self._sequence(SEQUENCE_UNTIL)
            if self.value is not None and self.best and self.bound - self.score > CLOSED:
                self._prove(relaxed)
        return self._found(relaxed)

    def _priced(self, threads: ThreadPoolExecutor) -> Relaxed:
        """Add columns until none is worth more than its tolls, or time is up; bounds the book."""
        while True:
            relaxed = self._relaxed()
            before = len(self.columns.pool)
            bound, whole = self.columns.priced(threads, relaxed.duals)
            if whole:
                self._bounded(bound)
            if len(self.columns.pool) == before and whole:
                self.value, self.most = relaxed.value, bound
                return relaxed
            if self.columns.tired or self.timing.late(PRICED_UNTIL):
                return relaxed

    def _relaxed(self) -> Relaxed:
        """Return the linear program's answer, with every circle of twins in it that it would break."""
        spreads = list(self.columns.pool)
        locked = [spreads.index(spread) for spread in self.locked]
        while True:
            relaxed = relax(self.book, spreads, sorted(self.circles), locked)
            broken = self._twins(spreads, relaxed.weight)
            if not broken:
                return relaxed
            self.circles |= broken

    def _twins(self, spreads: list[Spread], weight: Floats) -> set[tuple[int, ...]]:
        share = np.zeros(self.pricer.frames)
        for spread, part in zip(spreads, weight, strict=True):
            if part > 1e-7:
                share[list(spread.frames)] += part
        return broken_circles(self.mates, share) - self.circles

    def _bounded(self, bound: float) -> None:
        self.bound = min(self.bound, bound)
        if self.progress is not None and np.isfinite(self.score):
            self.progress(self.score, self.bound)

    def _take(self, spreads: Sequence[Spread]) -> None:
        """Keep a book where it is the best so far."""
        self.columns.add(spreads)
        if set(self.locked) <= set(spreads) and not broken_book(self.book, spreads):
            score = book_score(self.book, spreads)
            if score > self.score:
                self.best, self.score = tuple(spreads), score

    def _sequence(self, share: float, pool: Sequence[Spread] | None = None) -> tuple[float, bool]:
        """Choose a sequence of columns; return a bound on books of these, and whether it is exact."""
        found = choose(
            self.book,
            list(self.columns.pool) if pool is None else pool,
            locked=frozenset(self.locked),
            hint=self.best or self.earlier,
            bound=self.bound,
            deadline=self.timing.until(share),
            work=self.timing.allowed(SEQUENCE),
            seed=self.seed,
            stop=self.timing.stop,
        )
        self.timing.late(share)
        if found.spreads:
            self._take(found.spreads)
        return found.bound, found.status in ("optimal", "infeasible")

    def _prove(self, relaxed: Relaxed) -> None:
        """List every spread that a better book might hold, and choose again: then the bound is that of the choice."""
        for _ in range(3):
            room = self.most - self.score  # no spread of a better book costs more than that and what others may gain
            listed = self.columns.listed(relaxed.duals, room, [*self.best, *self.locked])
            if listed is None:
                return
            before = self.score
            bound, _ = self._sequence(1.0, listed)
            if np.isfinite(bound):
                # half a step a spread each for its points, its people and its pace
                self._bounded(max(self.score, bound + 1.5 * self.book.spreads[1] / SCALE))
            if self.bound - self.score <= CLOSED or self.score <= before:
                return

    def _none(self, relaxed: Relaxed) -> BookFound:
        return self._told((), -np.inf, -np.inf, "infeasible", relaxed.bought)

    def _found(self, relaxed: Relaxed) -> BookFound:
        if not self.best:
            return self._told((), -np.inf, self.bound, "unknown", relaxed.bought or ("sequence",))
        bound = max(self.bound, self.score)
        status = "optimal" if bound - self.score <= CLOSED else "feasible"
        return self._told(self.best, self.score, bound, status, ())

    def _told(
        self, spreads: tuple[Spread, ...], score: float, bound: float, status: str, clash: tuple[str, ...]
    ) -> BookFound:
        pool = tuple(self.columns.pool)
        return BookFound(
            spreads,
            score,
            bound,
            status,
            self.timing.seconds,
            clash,
            len(pool),
            pool,
            self.greedy,
            self.value,
            hurried=self.timing.hurried and status != "optimal",
        )


def _no_better(book: Book) -> float:
    """Return points that no book has more of, without any search: a spread has at most the most that a frame gains.

    Its pictures count by their share, and what axes cost is no gain; variety, where it counts, is left open.
    """
    if book.problem.variety_weight > 0:
        return np.inf
    most = float(np.nanmax(book.problem.gain, initial=0.0))
    return book.spreads[1] * max(0.0, most)


def _without_ends(book: Book) -> tuple[str, ...]:
    """Return which end of the book no rendition of its chapter may lead, known before any search."""
    chapter = np.where(book.passage >= 0, book.chapter[book.passage], -1)
    found = []
    for name, rows, number in (("opening", book.leads, 0), ("closing", book.ends, book.chapters - 1)):
        if len(rows) and not (rows & (chapter == number)).any():
            found.append(name)
    return tuple(found)
