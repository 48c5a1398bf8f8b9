"""The best book: columns priced by duals until none is worth more, then a sequence, then what a better book might use.

The linear program over all spreads there are bounds the book from above. It is reached by column generation: the engine
proves for each lot that no spread is worth more than its tolls. The sequence chosen from the columns is proven best
where all spreads that could be part of a better one (reduced cost within the gap) are among them.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from setsolver.domain.book import Book, Spread, book_score, broken_book
from setsolver.domain.problem import Floats
from setsolver.machine import cores
from setsolver.solver.book.greedy import greedy_book
from setsolver.solver.book.master import choose
from setsolver.solver.book.pricing import Lot, Offer, Pricer
from setsolver.solver.book.relaxation import Duals, Relaxed, relax
from setsolver.solver.ready import make_ready

__all__ = ["BookFound", "solve_book"]

TOLERANCE = 1e-5
"""Points below which no spread is worth adding."""
CLOSED = 0.005
"""Points of gap below which a book counts as proven best: what rounding to whole steps can make."""
MOST_COLUMNS = 4000
"""Columns in one whole-number problem."""
SHARES = (0.55, 0.75)
"""Of the time: until when columns are priced, and until when the first sequence is looked for."""
STARTS = 3
"""Spreads of a lot that its next search begins with."""
LISTED = 60
"""Spreads of one lot that are listed to prove a book."""


@dataclass(frozen=True)
class BookFound:
    """What was found.

    spreads : the book in order, empty where there is none. score : its points. bound : no book has more. status :
    "optimal", "feasible", "infeasible" or "unknown". clash : rules that cannot all be kept, by their keys. columns :
    spreads that were proven. pool : those, for further questions. greedy : points of the book made chapter by chapter,
    None where that ended in a clash. relaxed : the value of the linear program, where it was reached.
    """

    spreads: tuple[Spread, ...]
    score: float
    bound: float
    status: str
    seconds: float
    clash: tuple[str, ...] = ()
    columns: int = 0
    pool: tuple[Spread, ...] = field(default=(), repr=False)
    greedy: float | None = None
    relaxed: float | None = None

    @property
    def gap(self) -> float:
        """Points by which a better book might exist."""
        return max(0.0, self.bound - self.score)


def solve_book(
    book: Book,
    *,
    time_limit: float | None = None,
    seed: int = 0,
    workers: int | None = None,
    locked: Sequence[Spread] = (),
    known: Sequence[Spread] = (),
    progress: Callable[[float, float], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> BookFound:
    """Return the best book and how good it is proven to be.

    Parameters
    ----------
    time_limit : seconds; None = until proven. locked : spreads that must be in. known : spreads from earlier, which
        need no pricing. progress : told (best score so far, bound so far). stop : asked now and then.
    """
    make_ready()
    return _Run(book, time_limit, seed, workers or cores(), locked, known, progress, stop).solve()


class _Run:
    def __init__(
        self,
        book: Book,
        time_limit: float | None,
        seed: int,
        workers: int,
        locked: Sequence[Spread],
        known: Sequence[Spread],
        progress: Callable[[float, float], None] | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.book, self.seed, self.workers = book, seed, workers
        self.begun = time.perf_counter()
        self.limit = time_limit
        self.locked, self.progress, self.stop = tuple(locked), progress, stop or (lambda: False)
        self.pricer = Pricer(book, seed=seed)
        self.pool: dict[Spread, None] = dict.fromkeys([*locked, *known])
        self.pairs: set[tuple[int, int]] = set()
        self.best: tuple[Spread, ...] = ()
        self.score, self.bound = -np.inf, _no_better(book)
        self.greedy: float | None = None
        self.value: float | None = None
        self.dead: set[Lot] = set()
        self.last: dict[Lot, tuple[Floats, float]] = {}
        self.starts: dict[Lot, list[Spread]] = {}

    def until(self, share: float) -> float | None:
        """Return the moment at which a share of the time is over."""
        return None if self.limit is None else self.begun + share * self.limit

    def late(self, share: float = 1.0) -> bool:
        """Return whether it is time to end a step."""
        moment = self.until(share)
        return self.stop() or (moment is not None and time.perf_counter() > moment)

    def solve(self) -> BookFound:
        """Return the answer."""
        ends = _without_ends(self.book)
        if ends:
            return BookFound((), -np.inf, -np.inf, "infeasible", time.perf_counter() - self.begun, ends)
        lots = self.pricer.lots()
        toll = np.zeros(self.pricer.frames)
        with ThreadPoolExecutor(self.workers) as pool:
            self._first(pool, lots, toll)
            if not self.locked:
                greedy = greedy_book(self.book, self.pricer, deadline=self.until(0.3))
                if greedy:
                    self.greedy = book_score(self.book, greedy)
                    self._take(greedy)
            relaxed = self._priced(pool, lots)
            if relaxed.bought and self.value is not None:
                return self._none(relaxed)
            self._sequence(SHARES[1])
            if self.value is not None and self.best and self.bound - self.score > CLOSED:
                self._prove(lots, relaxed)
        return self._found(relaxed)

    def _first(self, pool: ThreadPoolExecutor, lots: list[Lot], toll: Floats) -> None:
        """Price every lot of one passage without tolls, and bound the book by the best of each."""
        single = [lot for lot in lots if lot.first == lot.last]
        for lot, offer in zip(single, pool.map(lambda lot: self._ask(lot, toll), single), strict=True):
            self._note(lot, offer, toll)

    def _ask(self, lot: Lot, toll: Floats, floor: float = -np.inf) -> Offer | None:
        if self.late(SHARES[0]):
            return None
        start = self.starts.get(lot, ())
        return self.pricer.best(lot, toll, floor=floor, start=start, deadline=self.until(SHARES[0]))

    def _note(self, lot: Lot, offer: Offer | None, toll: Floats) -> float:
        """Keep what was found; return a bound on what a spread of the lot is worth, tolls paid."""
        if offer is None:
            return np.inf
        if offer.spread is None and offer.bound == -np.inf:
            self.dead.add(lot)
            return -np.inf
        if offer.spread is not None:
            self.pool[offer.spread] = None
            self.starts[lot] = [offer.spread, *self.starts.get(lot, [])[: STARTS - 1]]
        self.last[lot] = toll, offer.bound
        return offer.bound

    def _still(self, lot: Lot, toll: Floats) -> float:
        """Return a bound under new tolls from the one under old: what could have become cheaper at most."""
        if lot not in self.last:
            return np.inf
        old, bound = self.last[lot]
        frames = self.pricer.frames_of(lot)
        cheaper = np.sort(np.maximum(0.0, old[frames] - toll[frames]))[::-1]
        return float(bound + cheaper[: self.book.kinds[lot.kind].size].sum())

    def _priced(self, pool: ThreadPoolExecutor, lots: list[Lot]) -> Relaxed:
        """Add columns until none is worth more than its tolls, or time is up; bounds the book."""
        while True:
            relaxed = self._relaxed()
            before = len(self.pool)
            bound, whole = self._round(pool, lots, relaxed.duals)
            if whole:
                self._bounded(bound)
            if len(self.pool) == before and whole:
                self.value = relaxed.value
                return relaxed
            if self.late(SHARES[0]):
                return relaxed

    def _round(self, pool: ThreadPoolExecutor, lots: list[Lot], duals: Duals) -> tuple[float, bool]:
        """Price all lots that might be worth it; return a bound on the book, and whether each lot was answered."""
        alive = [lot for lot in lots if lot not in self.dead]
        due = [lot for lot in alive if self._still(lot, duals.toll) - duals.cost(lot) > TOLERANCE]
        asks = [(lot, duals.toll, duals.cost(lot) + TOLERANCE) for lot in due]
        worst = 0.0
        for lot, offer in zip(due, pool.map(lambda ask: self._ask(*ask), asks), strict=True):
            worst = max(worst, self._note(lot, offer, duals.toll) - duals.cost(lot))
        return duals.value + self.book.spreads[1] * worst, bool(np.isfinite(worst))

    def _relaxed(self) -> Relaxed:
        """Return the linear program's answer, with every pair of twins in it that it would break."""
        spreads = list(self.pool)
        locked = [spreads.index(spread) for spread in self.locked]
        while True:
            relaxed = relax(self.book, spreads, sorted(self.pairs), locked)
            broken = self._twins(spreads, relaxed.weight)
            if not broken:
                return relaxed
            self.pairs |= broken

    def _twins(self, spreads: list[Spread], weight: Floats) -> set[tuple[int, int]]:
        used: dict[int, float] = {}
        for spread, share in zip(spreads, weight, strict=True):
            if share > 1e-7:
                for frame in spread.frames:
                    used[frame] = used.get(frame, 0.0) + float(share)
        conflict = self.book.problem.conflict
        if not len(conflict):
            return set()
        share = np.zeros(self.pricer.frames)
        share[list(used)] = list(used.values())
        bad = conflict[share[conflict].sum(axis=1) > 1 + 1e-6]
        return {(int(a), int(b)) for a, b in bad} - self.pairs

    def _bounded(self, bound: float) -> None:
        self.bound = min(self.bound, bound)
        if self.progress is not None and np.isfinite(self.score):
            self.progress(self.score, self.bound)

    def _take(self, spreads: Sequence[Spread]) -> None:
        """Keep a book where it is the best so far."""
        for spread in spreads:
            self.pool[spread] = None
        if set(self.locked) <= set(spreads) and not broken_book(self.book, spreads):
            score = book_score(self.book, spreads)
            if score > self.score:
                self.best, self.score = tuple(spreads), score

    def _sequence(self, share: float, pool: Sequence[Spread] | None = None) -> tuple[float, bool]:
        """Choose a sequence of columns; return a bound on books of these, and whether it is exact."""
        found = choose(
            self.book,
            list(self.pool) if pool is None else pool,
            locked=frozenset(self.locked),
            hint=self.best,
            bound=self.bound,
            deadline=self.until(share),
            seed=self.seed,
            stop=self.stop,
        )
        if found.spreads:
            self._take(found.spreads)
        return found.bound, found.status in ("optimal", "infeasible")

    def _prove(self, lots: list[Lot], relaxed: Relaxed) -> None:
        """List every spread that a better book might hold, and choose again: then the bound is that of the choice."""
        for _ in range(3):
            room = relaxed.value - self.score
            listed = self._listed(lots, relaxed.duals, room)
            if listed is None:
                return
            before = self.score
            bound, _ = self._sequence(1.0, listed)
            if np.isfinite(bound):
                self._bounded(max(self.score, bound + 0.5 * self.book.spreads[1] / 100_000))
            if self.bound - self.score <= CLOSED or self.score <= before:
                return

    def _listed(self, lots: list[Lot], duals: Duals, room: float) -> list[Spread] | None:
        """Return every spread whose reduced cost is within the gap; None where those are too many or time is up."""
        found: dict[Spread, None] = dict.fromkeys([*self.best, *self.locked])
        for lot in lots:
            if lot in self.dead or self._still(lot, duals.toll) - duals.cost(lot) < -room:
                continue
            own: list[Spread] = []
            while True:
                if self.late(0.9) or len(found) > MOST_COLUMNS or len(own) > LISTED:
                    return None
                offer = self.pricer.best(lot, duals.toll, apart=own, deadline=self.until(0.9))
                if offer.spread is None:
                    if not offer.done:
                        return None
                    break
                if offer.bound - duals.cost(lot) < -room - TOLERANCE:
                    break
                own.append(offer.spread)
                found[offer.spread] = None
                self.pool[offer.spread] = None
        return list(found)

    def _none(self, relaxed: Relaxed) -> BookFound:
        return BookFound(
            (),
            -np.inf,
            -np.inf,
            "infeasible",
            time.perf_counter() - self.begun,
            relaxed.bought,
            len(self.pool),
            tuple(self.pool),
            self.greedy,
        )

    def _found(self, relaxed: Relaxed) -> BookFound:
        seconds = time.perf_counter() - self.begun
        pool = tuple(self.pool)
        if not self.best:
            clash = relaxed.bought or ("sequence",)
            return BookFound(
                (), -np.inf, self.bound, "unknown", seconds, clash, len(pool), pool, self.greedy, self.value
            )
        bound = max(self.bound, self.score)
        status = "optimal" if bound - self.score <= CLOSED else "feasible"
        return BookFound(self.best, self.score, bound, status, seconds, (), len(pool), pool, self.greedy, self.value)


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
