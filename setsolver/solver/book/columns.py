"""Columns of the book: spreads, proven the best of their lot under tolls, and bounds on all others of it."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.book.pricing import Lot, Offer, Pricer

if TYPE_CHECKING:
    from setsolver.domain.book import Book, Spread
    from setsolver.domain.problem import Floats
    from setsolver.solver.book.relaxation import Duals
    from setsolver.solver.book.timing import Timing

__all__ = ["TOLERANCE", "Columns"]

TOLERANCE = 1e-5
"""Points below which no spread is worth adding."""
MOST_COLUMNS = 4000
"""Columns in one whole-number problem."""
PRICED_UNTIL, LISTED_UNTIL = 0.55, 0.9
"""Of the time: until when columns are priced, and until when they are listed to prove a book."""
PRICED, LISTED_FOR = 30.0, 10.0
"""Work of the same, as ``Offer.work`` counts it."""
STARTS = 3
"""Spreads of a lot that its next search begins with."""
LISTED = 60
"""Spreads of one lot that are listed to prove a book."""


class Columns:
    """Spreads known so far (``pool``, in the order in which they were found), and what is known of each lot."""

    def __init__(self, book: Book, pricer: Pricer, timing: Timing, known: Iterable[Spread]) -> None:
        self.book, self.pricer, self.timing = book, pricer, timing
        self.pool: dict[Spread, None] = dict.fromkeys(known)
        self.lots = pricer.lots()
        self._dead: set[Lot] = set()
        self._last: dict[Lot, tuple[Floats, float]] = {}
        self._starts = self._near(self.pool)
        self.spent = 0.0

    def add(self, spreads: Iterable[Spread]) -> None:
        """Keep spreads as columns."""
        self.pool |= dict.fromkeys(spreads)

    def first(self, threads: ThreadPoolExecutor) -> None:
        """Price every lot of one passage without tolls."""
        toll = np.zeros(self.pricer.frames)
        single = [lot for lot in self.lots if lot.first == lot.last]
        for lot, offer in zip(single, threads.map(lambda lot: self._ask(lot, toll), single), strict=True):
            self._note(lot, offer, toll)

    @property
    def tired(self) -> bool:
        """Whether pricing has taken the work that it may."""
        allowed = self.timing.allowed(PRICED)
        return allowed is not None and self.spent >= allowed

    def priced(self, threads: ThreadPoolExecutor, duals: Duals) -> tuple[float, bool]:
        """Price all lots that might be worth it; return a bound on the book, and whether each lot was answered."""
        alive = [lot for lot in self.lots if lot not in self._dead]
        due = [lot for lot in alive if self._still(lot, duals.toll) - duals.cost(lot) > TOLERANCE]
        asks = [(lot, duals.toll, duals.cost(lot) + TOLERANCE) for lot in due]
        worst = 0.0
        for lot, offer in zip(due, threads.map(lambda ask: self._ask(*ask), asks), strict=True):
            worst = max(worst, self._note(lot, offer, duals.toll) - duals.cost(lot))
        return duals.value + self.book.spreads[1] * worst, bool(np.isfinite(worst))

    def listed(self, duals: Duals, room: float, held: Iterable[Spread]) -> list[Spread] | None:
        """Return ``held`` and every spread whose reduced cost is within the gap; None where too many, or time is up."""
        found: dict[Spread, None] = dict.fromkeys(held)
        work, allowed = 0.0, self.timing.allowed(LISTED_FOR)
        for lot in self.lots:
            if lot in self._dead or self._still(lot, duals.toll) - duals.cost(lot) < -room:
                continue
            own: list[Spread] = []
            while True:
                if self.timing.late(LISTED_UNTIL) or len(found) > MOST_COLUMNS or len(own) > LISTED:
                    return None
                if allowed is not None and work > allowed:
                    return None
                deadline, floor = self.timing.until(LISTED_UNTIL), duals.cost(lot) - room - TOLERANCE
                offer = self.pricer.best(lot, duals.toll, apart=own, floor=floor, deadline=deadline)
                work += offer.work
                if offer.spread is None:
                    if not offer.done:
                        return None
                    break
                own.append(offer.spread)
                found[offer.spread] = None
                self.pool[offer.spread] = None
        return list(found)

    def _ask(self, lot: Lot, toll: Floats, floor: float = -np.inf) -> Offer | None:
        if self.timing.late(PRICED_UNTIL):
            return None
        start = self._starts.get(lot, ())
        return self.pricer.best(lot, toll, floor=floor, start=start, deadline=self.timing.until(PRICED_UNTIL))

    def _note(self, lot: Lot, offer: Offer | None, toll: Floats) -> float:
        """Keep what was found; return a bound on what a spread of the lot is worth, tolls paid."""
        if offer is None:
            return np.inf
        self.spent += offer.work
        if offer.spread is None and offer.bound == -np.inf:
            self._dead.add(lot)
            return -np.inf
        if offer.spread is not None:
            self.pool[offer.spread] = None
            self._starts[lot] = [offer.spread, *self._starts.get(lot, [])[: STARTS - 1]]
        self._last[lot] = toll, offer.bound
        return offer.bound

    def _near(self, spreads: Iterable[Spread]) -> dict[Lot, list[Spread]]:
        """Return for each lot the best of some spreads, where its searches begin."""
        own: dict[tuple[int, int, int], list[Spread]] = {}
        for spread in sorted(spreads, key=lambda one: -one.score):
            own.setdefault((spread.first, spread.last, spread.kind), []).append(spread)
        may = {"any": lambda _: True, "open": self.book.may_open, "close": self.book.may_close}
        return {
            lot: able
            for lot in self.lots
            if (able := [one for one in own.get(lot[:3], ()) if may[lot.end](one)][:STARTS])
        }

    def _still(self, lot: Lot, toll: Floats) -> float:
        """Return a bound under new tolls from the one under old: what could have become cheaper at most."""
        if lot not in self._last:
            return np.inf
        old, bound = self._last[lot]
        frames = self.pricer.frames_of(lot)
        cheaper = np.sort(np.maximum(0.0, old[frames] - toll[frames]))[::-1]
        return float(bound + cheaper[: self.book.kinds[lot.kind].size].sum())
