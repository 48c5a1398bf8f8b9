"""The best spread of a kind in a window of passages, while frames cost tolls: the engine as the maker of columns.

A window is one passage, or two of a chapter that follow each other, from both of which a spread then is. A *lot* is a
kind in a window, as any spread or as one that may open or close the book.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from setsolver.domain.book import Book, Spread, kind_problem, spread_of
from setsolver.domain.solution import Choice
from setsolver.solver.book.pacing import windows_of
from setsolver.solver.restriction import Restriction
from setsolver.solver.search import search

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints, Problem

__all__ = ["End", "Lot", "Offer", "Pricer", "asks_close", "asks_open"]

End = Literal["any", "open", "close"]
ASKED, WEIGHED, SETTLED = 0.003, 1 / 30_000_000, 0.025
"""Work of a search by itself, of a candidate that it weighs, and of a proof that there is nothing at all."""
MOST = 30_000_000
"""Candidates weighed in one search, after which its bound is left open."""


class Lot(NamedTuple):
    """Where columns come from. first, last : passages. kind : of the book's. end : what the spread may serve as."""

    first: int
    last: int
    kind: int
    end: End = "any"


class Offer(NamedTuple):
    """The best spread of a lot, None where there is none; no spread of it is worth more than ``bound``, tolls paid.

    done : it is certain that there is none, or none better. work : that the search took, about processor seconds of a
    machine of 2026, counted in what it did and never by a clock.
    """

    spread: Spread | None
    bound: float
    done: bool
    work: float = 0.0


class _Cut(NamedTuple):
    """A lot's problem without tolls: rows of the book [m], and the frames that can be in."""

    problem: Problem
    rows: Ints
    frames: Ints


class Pricer:
    """Asks the engine for spreads of one book. Problems of lots are made once."""

    def __init__(self, book: Book, *, seed: int = 0) -> None:
        self.book, self.seed = book, seed
        self.frames = int(book.problem.frame.max(initial=-1)) + 1
        self._rows = [np.flatnonzero(book.passage == number) for number in range(len(book.chapter))]
        self._pairs = _pairs_by_frame(book)
        self._cuts: dict[Lot, _Cut | None] = {}
        self._lock = threading.Lock()

    def lots(self) -> list[Lot]:
        """Return every lot in which a spread might be."""
        found = []
        for first, last in windows_of(self.book):
            for kind in range(len(self.book.kinds)):
                if first < last and self.book.kinds[kind].size == 1:
                    continue  # one picture lies in one passage
                found.append(Lot(first, last, kind))
                found += [Lot(first, last, kind, end) for end in self._ends(first, kind)]
        return found

    def _ends(self, passage: int, kind: int) -> list[End]:
        book, chapter = self.book, int(self.book.chapter[passage])
        ends: list[End] = []
        if asks_open(book) and chapter == 0 and (len(book.opens) == 0 or book.opens[kind]):
            ends.append("open")
        if asks_close(book) and chapter == book.chapters - 1 and (len(book.closes) == 0 or book.closes[kind]):
            ends.append("close")
        return ends

    def frames_of(self, lot: Lot) -> Ints:
        """Return the frames that can be in a spread of a lot."""
        cut = self._cut(lot)
        return np.zeros(0, dtype=np.int64) if cut is None else cut.frames

    def best(
        self,
        lot: Lot,
        toll: Floats,
        *,
        barred: frozenset[int] = frozenset(),
        apart: Sequence[Spread] = (),
        floor: float = -np.inf,
        start: Sequence[Spread] = (),
        deadline: float | None = None,
    ) -> Offer:
        """Return the best spread of a lot once each frame has paid its toll, [frames]; a toll below 0 is a reward.

        barred : frames that may not be in. apart : spreads of the lot from which it must differ by a frame. floor :
        worth that it must exceed. start : spreads of the lot known from earlier.
        """
        cut = self._cut(lot)
        if cut is None:
            return Offer(None, -np.inf, done=True)
        problem = replace(cut.problem, gain=cut.problem.gain - toll[cut.problem.frame][:, None])
        size = problem.size
        asked = Restriction(
            differ=tuple((frozenset(spread.frames), size - 1) for spread in apart),
            barred=barred & frozenset(cut.frames.tolist()),
        )
        found = search(
            problem,
            floor=floor,
            restriction=asked,
            deadline=deadline,
            most=MOST,
            seed=self.seed,
            workers=1,
            start=[self._choice(cut, spread) for spread in start],
        )
        work = ASKED + WEIGHED * found.nodes
        if found.choice is None:
            nothing = found.bound == -np.inf  # at all, not only nothing above the floor, which is seen at once
            return Offer(None, found.bound, found.finished, work + SETTLED * nothing)
        rows = cut.rows[list(found.choice.chosen)]
        spread = spread_of(self.book, lot.kind, rows.tolist(), found.choice.roles, found.choice.look)
        return Offer(spread, max(found.bound, found.choice.score), found.finished, work)

    @staticmethod
    def _choice(cut: _Cut, spread: Spread) -> Choice:
        at = {row: number for number, row in enumerate(cut.rows.tolist())}
        return Choice(tuple(at[row] for row in spread.rows), spread.roles, spread.look, spread.score, np.inf)

    def _cut(self, lot: Lot) -> _Cut | None:
        if lot not in self._cuts:
            made = self._made(lot)
            with self._lock:
                self._cuts[lot] = made
        return self._cuts[lot]

    def _made(self, lot: Lot) -> _Cut | None:
        book, kind = self.book, self.book.kinds[lot.kind]
        rows = np.concatenate([self._rows[number] for number in range(lot.first, lot.last + 1)])
        rows = rows[~np.isnan(book.problem.gain[rows][:, list(kind.slots)]).all(axis=1)]
        rows = rows[~np.isin(book.problem.frame[rows], book.problem.exclude)]
        frames = np.unique(book.problem.frame[rows])
        if len(frames) < kind.size:
            return None
        group, cap = book.problem.group[:, rows], book.problem.group_cap
        if lot.first < lot.last:  # from both passages: at most all but one of either
            both = [np.where(book.passage[rows] == number, 0, -1) for number in (lot.first, lot.last)]
            group, cap = np.vstack([group, *both]), np.append(cap, [kind.size - 1] * 2)
        problem = kind_problem(book, kind, rows, conflict=self._conflict(frames), group=group, group_cap=cap)
        lead = {"open": book.leads, "close": book.ends}.get(lot.end)
        if lead is not None and len(lead):
            gain = problem.gain.copy()
            gain[~lead[rows], 0] = np.nan
            problem = replace(problem, gain=gain)
        if problem.variety_weight == 0:
            problem = replace(problem, place=np.zeros((len(rows), 0)))
        if np.isnan(problem.gain).all(axis=0).any():
            return None
        return _Cut(problem, rows, frames)

    def _conflict(self, frames: Ints) -> Ints:
        there = set(frames.tolist())
        pairs = [(a, b) for a in there for b in self._pairs.get(a, ()) if b in there and a < b]
        return np.array(sorted(pairs), dtype=np.int64).reshape(-1, 2)


def asks_open(book: Book) -> bool:
    """Return whether not every spread may open the book."""
    return (len(book.opens) > 0 and not book.opens.all()) or (len(book.leads) > 0 and not book.leads.all())


def asks_close(book: Book) -> bool:
    """Return whether not every spread may close the book."""
    return (len(book.closes) > 0 and not book.closes.all()) or (len(book.ends) > 0 and not book.ends.all())


def _pairs_by_frame(book: Book) -> dict[int, list[int]]:
    pairs: dict[int, list[int]] = {}
    for a, b in book.problem.conflict.tolist():
        pairs.setdefault(a, []).append(b)
        pairs.setdefault(b, []).append(a)
    return pairs
