"""The album as plain arrays: everything that the solver knows of pages, passages and the order of a book.

A *passage* is a stretch of a chapter in the order of time; a spread is told from one passage, or from two that follow
each other. Passages are numbered in that order, chapters too, and a book's spreads follow the passages: no spread takes
a picture from an earlier passage than one before it. Spreads of one passage follow by the mean place of their frames.

``score(book) = sum over spreads of their points - pace * (spreads that follow one of their own pace) - people *
(pictures by which chapters show people too often or too seldom)``. Points of a spread are the engine's score of its
set, each picture's gain counted by its share of the pictured area, and each axis by one over the number of pictures:
the mean points of a picture on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.problem import Floats, Ints, Problem
from setsolver.domain.validate import Broken, best_look, broken, score_terms

__all__ = [
    "Book",
    "BookKind",
    "Spread",
    "book_score",
    "broken_book",
    "broken_sequence",
    "kind_problem",
    "pace_of",
    "spread_of",
    "uneven",
]

Rows = NDArray[np.bool_]


@dataclass(frozen=True)
class BookKind:
    """A spread kind. slots : columns of the problem's gain. counts : pictures of each. shares : of the area, a picture.

    full : full, not quiet.
    """

    name: str
    slots: tuple[int, ...]
    counts: tuple[int, ...]
    shares: tuple[float, ...]
    full: bool

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
    nothing. pace, people : points. opens, closes : [K] kinds that may open and close. leads, ends : [M], which rows may
    lead such a spread.
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
    points = sum(spread.score for spread in spreads)
    return float(points - book.pace * pace_of(spreads) - book.people * uneven(book, spreads).sum())


def broken_book(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    """Return every rule that a book breaks; empty for a valid book. Knows no solver."""
    own = [
        rule._replace(found=f"{rule.found} (spread {number})")
        for number, spread in enumerate(spreads)
        for rule in _broken_spread(book, spread)
    ]
    return own + broken_sequence(book, spreads)


def broken_sequence(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    """Return every rule that spreads break together, each being right by itself."""
    found: list[Broken] = []
    least, most = book.spreads
    pictures = sum(len(spread.rows) for spread in spreads)
    if not least <= len(spreads) <= most:
        found.append(Broken("spreads", str(len(spreads))))
    if spreads and not book.density[0] - 1e-9 <= pictures / len(spreads) <= book.density[1] + 1e-9:
        found.append(Broken("density", f"{pictures / len(spreads):.3f}"))
    found += _broken_frames(book, spreads) + _broken_order(book, spreads)
    return found


def _broken_spread(book: Book, spread: Spread) -> list[Broken]:
    problem = kind_problem(book, book.kinds[spread.kind], np.array(spread.rows))
    rules = broken(problem, range(len(spread.rows)), spread.roles, spread.look)
    if spread.last > spread.first + 1 or book.chapter[spread.first] != book.chapter[spread.last] or spread.first < 0:
        rules.append(Broken("passages", f"{spread.first} to {spread.last}"))
    if abs(spread_of(book, spread.kind, spread.rows, spread.roles, spread.look).score - spread.score) > 1e-6:
        rules.append(Broken("score", f"{spread.score} is not what its pictures are worth"))
    return rules


def _broken_frames(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    rows = np.array([row for spread in spreads for row in spread.rows], dtype=np.int64)
    frames = book.problem.frame[rows]
    found = [Broken("frame", f"{frame} is in twice") for frame in np.unique(frames) if (frames == frame).sum() > 1]
    for number, cap in enumerate(book.group_cap):
        labels = book.group[number, rows]
        counts = np.bincount(labels[labels >= 0], minlength=1)
        if counts.max() > cap:
            found.append(Broken(f"group_cap[{number}]", str(counts.max()), f"at most {cap}"))
    there = set(frames.tolist())
    found += [
        Broken("conflict", f"frames {a} and {b}")
        for a, b in book.problem.conflict.tolist()
        if a in there and b in there
    ]
    found += [
        Broken("include", f"frame {frame} is missing") for frame in book.problem.include.tolist() if frame not in there
    ]
    return found + [
        Broken("exclude", f"frame {frame} is in") for frame in book.problem.exclude.tolist() if frame in there
    ]


def _broken_order(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    found = []
    told = {int(book.chapter[spread.first]) for spread in spreads}
    found += [Broken("chapter", f"{chapter} is not told") for chapter in range(book.chapters) if chapter not in told]
    for number, (a, b) in enumerate(pairwise(spreads)):
        if a.last > b.first or a.order > b.order:
            found.append(Broken("order", f"spread {number + 1} before {number}"))
    for number, (a, b, c) in enumerate(zip(spreads, spreads[1:], spreads[2:], strict=False)):
        if a.kind == b.kind == c.kind:
            found.append(Broken("kind", f"that of spread {number} thrice running"))
    if spreads and not book.may_open(spreads[0]):
        found.append(Broken("opening", "the first spread may not open"))
    if spreads and not book.may_close(spreads[-1]):
        found.append(Broken("closing", "the last spread may not close"))
    return found
