"""Chapter by chapter, each time the spread that is best by itself: what is done by hand, and a first book."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.book import broken_book
from setsolver.solver.book.pricing import Lot, Pricer

if TYPE_CHECKING:
    from setsolver.domain.book import Book, Spread

__all__ = ["greedy_book"]


def greedy_book(book: Book, pricer: Pricer | None = None, *, deadline: float | None = None) -> tuple[Spread, ...] | None:
    """Return a book that keeps every rule, made front to back without ever going back; None where that ends in a clash.

    Spreads are shared among the chapters by their frames, and among the passages of a chapter. For each share the kinds
    are tried in which the number of pictures, the pace and the rule of three allow it, and the best by points is taken.
    """
    pricer = pricer or Pricer(book)
    toll = np.zeros(pricer.frames)
    barred: set[int] = set()
    spreads: list[Spread] = []
    mates = _mates(book)
    wanted = sorted(_shares(book))
    for number, passage in enumerate(wanted):
        best = _best(book, pricer, passage, toll, spreads, frozenset(barred), len(wanted) - number, deadline)
        if best is None:
            continue
        spreads.append(best)
        for frame in best.frames:
            barred |= {frame, *mates(frame)}
    return tuple(spreads) if not broken_book(book, spreads) else None


def _best(
    book: Book, pricer: Pricer, passage: int, toll: np.ndarray, so_far: list[Spread], barred: frozenset[int], left: int,
    deadline: float | None,
) -> Spread | None:
    pictures = sum(len(spread.rows) for spread in so_far)
    low, high = (bound * (len(so_far) + 1) - pictures for bound in book.density)
    found: list[Spread] = []
    order = lambda spread: (-spread.score + (book.pace if so_far and so_far[-1].full == spread.full else 0.0))  # noqa: E731
    for number, kind in enumerate(book.kinds):
        thrice = len(so_far) > 1 and so_far[-1].kind == so_far[-2].kind == number
        if thrice or not low - 1.5 <= kind.size <= high + 1.5:
            continue
        end = "open" if not so_far else "close" if left == 1 else "any"
        offer = pricer.best(Lot(passage, passage, number, end), toll, barred=barred, deadline=deadline)  # type: ignore[arg-type]
        if offer.spread is not None and (not so_far or so_far[-1].order <= offer.spread.order):
            found.append(offer.spread)
    ends = [s for s in found if (so_far or book.may_open(s)) and (left > 1 or book.may_close(s))]
    return min(ends or found, key=order, default=None)


def _shares(book: Book) -> list[int]:
    """Return the passage of each spread: one a chapter, the rest by frames not yet told."""
    frames = np.array([len(np.unique(book.problem.frame[book.passage == p])) for p in range(len(book.chapter))], float)
    told = np.zeros(len(frames))
    wanted: list[int] = []
    for chapter in range(book.chapters):
        own = np.flatnonzero(book.chapter == chapter)
        wanted.append(int(own[frames[own].argmax()]))
        told[wanted[-1]] += 1
    while len(wanted) < book.spreads[0]:
        wanted.append(int((frames / (told + 1)).argmax()))
        told[wanted[-1]] += 1
    return wanted


def _mates(book: Book):  # type: ignore[no-untyped-def]
    pairs: dict[int, set[int]] = {}
    for a, b in book.problem.conflict.tolist():
        pairs.setdefault(a, set()).add(b)
        pairs.setdefault(b, set()).add(a)
    for number in np.flatnonzero(book.group_cap == 1):
        members: dict[int, set[int]] = {}
        for frame, label in zip(book.problem.frame.tolist(), book.group[number].tolist(), strict=True):
            if label >= 0:
                members.setdefault(label, set()).add(frame)
        for own in members.values():
            for frame in own:
                pairs.setdefault(frame, set()).update(own)
    return lambda frame: pairs.get(frame, set())
