"""The album as plain arrays: everything that the solver knows of pages, passages and the order of a book.

A *passage* is a stretch of a chapter in the order of time; a spread is told from one passage, or from two that follow
each other. Passages are numbered in that order, chapters too, and a book's spreads follow the passages: no spread takes
a picture from an earlier passage than one before it. Spreads of one passage follow by the mean place of their frames.

``score(book) = sum over spreads of their points - empty * (spreads that leave a page empty) - pace * (spreads that
follow one of their own pace) - people * (pictures by which chapters show people too often or too seldom)``. Points of a
spread are the engine's score of its set, each picture's gain counted by its share of the pictured area, and each axis
by one over the number of pictures: the mean points of a picture on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.problem import Floats, Ints, Problem
from setsolver.domain.validate import best_look, score_terms

__all__ = [
    "Book",
    "BookKind",
    "Spread",
    "book_score",
    "kind_problem",
    "pace_of",
    "spread_of",
    "uneven",
    "worth",
]

Rows = NDArray[np.bool_]


@dataclass(frozen=True)
class BookKind:
    """A spread kind. slots : columns of the problem's gain. counts : pictures of each. shares : of the area, a picture.

    full : full, not quiet. empty : leaves one of its two pages without a picture.
    """

    name: str
    slots: tuple[int, ...]
    counts: tuple[int, ...]
    shares: tuple[float, ...]
    full: bool
    empty: bool = False

    @property
    def size(self) -> int:
        """Pictures on the spread."""
        return sum(self.counts)


@dataclass(frozen=True, eq=False)
class Book:
    """An album's problem. M renditions (rows of ``problem``), P passages, K kinds.

    problem : gains for all slots of all kinds; its size and role bounds do not count, its include and exclude do.
    passage : [M], -1 = of none. chapter : [P], from 0, none left out. rank : [M], the frame's place in time. group,
    group_cap : labels [G, M] (-1 = in no group) of which the book holds at most so many frames. spreads : least and
    most. density : least and most pictures a spread, on average. shows : [M], people. usual : [chapters], share of a
    chapter's frames that show people, NaN where nothing is asked. even : by how much of it a book may differ for
    nothing. pace, people, empty : points. opens, closes : [K] kinds that may open and close. leads, ends : [M], which
    rows may lead such a spread.
    """

    problem: Problem
    kinds: tuple[BookKind, ...]
    passage: Ints
    chapter: Ints
    rank: Ints
    spreads: tuple[int, int]
    density: tuple[float, float] = (1.0, 12.0)
    group: Ints = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))
    group_cap: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    shows: Rows = field(default_factory=lambda: np.zeros(0, dtype=bool))
    usual: Floats = field(default_factory=lambda: np.zeros(0))
    even: float = 0.25
    pace: float = 0.0
    people: float = 0.0
    empty: float = 0.0
    opens: Rows = field(default_factory=lambda: np.zeros(0, dtype=bool))
    closes: Rows = field(default_factory=lambda: np.zeros(0, dtype=bool))
    leads: Rows = field(default_factory=lambda: np.zeros(0, dtype=bool))
    ends: Rows = field(default_factory=lambda: np.zeros(0, dtype=bool))

    @cached_property
    def chapters(self) -> int:
        """How many chapters."""
        return int(self.chapter.max(initial=-1)) + 1

    def may_open(self, spread: Spread) -> bool:
        """Return whether a spread may be the first."""
        return _may(spread, self.opens, self.leads)

    def may_close(self, spread: Spread) -> bool:
        """Return whether a spread may be the last."""
        return _may(spread, self.closes, self.ends)


@dataclass(frozen=True)
class Spread:
    """A column of the book: a kind, and the rows in its slots, the slot of each among the kind's own, and a look.

    first, last : its passages. place : mean rank of its frames. people : frames that show people. frames : ids.
    """

    kind: int
    rows: tuple[int, ...]
    roles: tuple[int, ...]
    look: tuple[float, ...]
    score: float
    first: int
    last: int
    place: float
    people: int
    frames: tuple[int, ...]
    full: bool

    @property
    def order(self) -> tuple[int, int, float, tuple[int, ...]]:
        """What spreads of a book are sorted by."""
        return self.first, self.last, self.place, self.frames


def _may(spread: Spread, kinds: Rows, rows: Rows) -> bool:
    fits = len(kinds) == 0 or bool(kinds[spread.kind])
    lead = min(range(len(spread.rows)), key=lambda at: spread.roles[at])
    return fits and (len(rows) == 0 or bool(rows[spread.rows[lead]]))


def kind_problem(book: Book, kind: BookKind, rows: Ints, **changes: object) -> Problem:
    """Return the engine's problem of a kind on some rows; gains by share of area, axes by one over the pictures.

    Raises
    ------
    BadProblem
        Where there are fewer frames than pictures.
    """
    whole, size = book.problem, kind.size
    shares = np.array(kind.shares)
    gain = whole.gain[rows][:, list(kind.slots)] * shares
    group, cap = whole.group[:, rows], whole.group_cap
    return Problem.from_arrays(
        {
            "size": size,
            "frame": whole.frame[rows],
            "gain": gain,
            "role_min": kind.counts,
            "role_max": kind.counts,
            "tone": whole.tone[rows],
            "tone_weight": whole.tone_weight / size,
            "tone_slack": whole.tone_slack,
            "tone_reach": whole.tone_reach,
            "place": whole.place[rows],
            "variety_weight": whole.variety_weight / size,
            "variety_kind": whole.variety_kind,
            "group": group,
            "group_cap": cap,
            **changes,
        }
    )


def spread_of(
    book: Book, kind: int, rows: Sequence[int], roles: Sequence[int], look: Sequence[float] | None = None
) -> Spread:
    """Return a spread of rows in the kind's slots, scored by code that knows no solver; look : None = the best.

    Raises
    ------
    ValueError
        Where no look is in reach of all.
    """
    index = np.asarray(rows, dtype=np.int64)
    problem = kind_problem(book, book.kinds[kind], index)
    chosen = tuple(range(len(index)))
    level = best_look(problem, chosen) if look is None else np.asarray(look)
    if level is None:
        raise ValueError("no look is in reach of all of these pictures")
    passages = book.passage[index]
    return Spread(
        kind=kind,
        rows=tuple(int(row) for row in index),
        roles=tuple(int(role) for role in roles),
        look=tuple(float(value) for value in level),
        score=score_terms(problem, chosen, roles, level.tolist()).score,
        first=int(passages.min()),
        last=int(passages.max()),
        place=float(book.rank[index].mean()),
        people=int(book.shows[index].sum()) if len(book.shows) else 0,
        frames=tuple(sorted(int(frame) for frame in book.problem.frame[index])),
        full=book.kinds[kind].full,
    )


def worth(book: Book, spread: Spread) -> float:
    """Return the points of a spread in a book, less what an empty page costs."""
    return spread.score - book.empty * book.kinds[spread.kind].empty


def pace_of(spreads: Sequence[Spread]) -> int:
    """Return how many spreads of a sequence follow one of their own pace."""
    return sum(a.full == b.full for a, b in pairwise(spreads))


def uneven(book: Book, spreads: Sequence[Spread]) -> Floats:
    """Return for each chapter by how many pictures it shows people too often or too seldom."""
    beyond = np.zeros(book.chapters)
    for chapter in range(book.chapters):
        usual = book.usual[chapter] if len(book.usual) else np.nan
        if np.isnan(usual):
            continue
        own = [spread for spread in spreads if book.chapter[spread.first] == chapter]
        pictures, people = sum(len(s.rows) for s in own), sum(s.people for s in own)
        beyond[chapter] = max(0.0, abs(people - usual * pictures) - book.even * pictures)
    return beyond


def book_score(book: Book, spreads: Sequence[Spread]) -> float:
    """Return the points of a book; rules are not checked here."""
    points = sum(worth(book, spread) for spread in spreads)
    return float(points - book.pace * pace_of(spreads) - book.people * uneven(book, spreads).sum())
