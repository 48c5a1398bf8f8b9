"""Chapter by chapter, each time the spread that is best by itself: what is done by hand, and a first book."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.book import book_score
from setsolver.domain.book_rules import broken_book
from setsolver.solver.book.apart import mates_of
from setsolver.solver.book.pricing import End, Lot, Pricer

if TYPE_CHECKING:
    from setsolver.domain.book import Book, Spread

__all__ = ["greedy_book"]

SPARE = 1.5
"""Pictures by which a book that is being made may be off its density."""


def greedy_book(
    book: Book, pricer: Pricer | None = None, *, deadline: float | None = None
) -> tuple[Spread, ...] | None:
    """Return a book that keeps every rule, made front to back without ever going back; None where that ends in a clash.

    Spreads are shared among chapters and passages by their frames; what a passage cannot give is asked of the next.
    Each is the best, by points and pace, of the kinds that density and the rule of three leave. The most spreads are
    tried, then fewer.
    """
    pricer = pricer or Pricer(book)
    least, most = book.spreads
    for wanted in dict.fromkeys((most, (least + most) // 2, least)):
        spreads = _Front(book, pricer, deadline).made(_shares(book, wanted))
        if not broken_book(book, spreads):
            return tuple(spreads)
    return None


class _Front:
    """A book that is being made front to back."""

    def __init__(self, book: Book, pricer: Pricer, deadline: float | None) -> None:
        self.book, self.pricer, self.deadline = book, pricer, deadline
        self.toll = np.zeros(pricer.frames)
        self.mates = mates_of(book)
        self.barred: set[int] = set()
        self.spreads: list[Spread] = []

    def made(self, shares: list[int]) -> list[Spread]:
        """Return spreads: so many of each passage, or of the next one where it has no more."""
        owed, left = 0, sum(shares)
        for passage, share in enumerate(shares):
            owed += share
            while owed:
                spread = self._best(passage, last=left == 1)
                if spread is None:
                    break
                self._take(spread)
                owed, left = owed - 1, left - 1
        return self.spreads

    def _take(self, spread: Spread) -> None:
        self.spreads.append(spread)
        for frame in spread.frames:
            self.barred |= {frame} | self.mates.get(frame, set())

    def _best(self, passage: int, *, last: bool) -> Spread | None:
        book, spreads = self.book, self.spreads
        pictures = sum(len(spread.rows) for spread in spreads)
        low, high = (bound * (len(spreads) + 1) - pictures for bound in book.density)
        end: End = "open" if not spreads else "close" if last else "any"
        found = []
        for number, kind in enumerate(book.kinds):
            thrice = len(spreads) > 1 and spreads[-1].kind == spreads[-2].kind == number
            if not thrice and low - SPARE <= kind.size <= high + SPARE:
                found += self._offers(passage, number, end)
        return max(found, key=lambda spread: book_score(book, [*spreads[-1:], spread]), default=None)

    def _offers(self, passage: int, kind: int, end: End) -> list[Spread]:
        lot = Lot(passage, passage, kind, end)
        offer = self.pricer.best(lot, self.toll, barred=frozenset(self.barred), deadline=self.deadline)
        spread = offer.spread
        if spread is None or (self.spreads and self.spreads[-1].order > spread.order):
            return []
        fits = {"open": self.book.may_open, "close": self.book.may_close}.get(end, lambda _: True)
        return [spread] if fits(spread) else []


def _shares(book: Book, wanted: int) -> list[int]:
    """Return how many spreads each passage is to give: one a chapter, the rest by frames not yet told."""
    frames = np.array([len(np.unique(book.problem.frame[book.passage == p])) for p in range(len(book.chapter))], float)
    told = np.zeros(len(frames), dtype=np.int64)
    for chapter in range(book.chapters):
        own = np.flatnonzero(book.chapter == chapter)
        told[own[frames[own].argmax()]] += 1
    while told.sum() < wanted:
        told[(frames / (told + 1)).argmax()] += 1
    return [int(share) for share in told]
