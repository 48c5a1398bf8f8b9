"""The book as a linear program over the spreads known so far: its value, and what frames and places are worth in it.

Rules that speak of the order of spreads enter by what they imply for counts: of F full and Q quiet spreads at least
|F - Q| - 1 follow one of their own pace, and of a kind there are at most twice as many as of all others, and two. So the
value is never below that of the best book of these spreads. Rules that no book may break are bought off at a price that
no points pay, so that a program always has a solution; what is bought off in the end names the clash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

from setsolver.domain.book import Book, Spread
from setsolver.domain.problem import Floats
from setsolver.solver.book.pricing import Lot, asks_close, asks_open

__all__ = ["Duals", "Relaxed", "relax"]

RANSOM = 20_000.0
"""Points at which a rule may be bought off."""


@dataclass(frozen=True, eq=False)
class Duals:
    """What a frame costs, [frames], and what else a spread of a lot costs (``cost``)."""

    toll: Floats
    gap: Floats
    chapter: Floats
    each: float
    kind: Floats
    opening: float
    closing: float
    of_chapter: Any

    def cost(self, lot: Lot) -> float:
        """Return what a spread of a lot costs beside its frames."""
        crossing = self.gap[lot.first] if lot.last > lot.first else 0.0
        ends = {"open": self.opening, "close": self.closing}.get(lot.end, 0.0)
        chapter = int(self.of_chapter[lot.first])
        return float(self.each + crossing + self.chapter[chapter, lot.kind] + self.kind[lot.kind] - ends)


@dataclass(frozen=True, eq=False)
class Relaxed:
    """value : of the program, with what was bought off left out. weight : of each spread, [columns]. bought : rules."""

    value: float
    weight: Floats
    duals: Duals
    bought: tuple[str, ...]


@dataclass
class _Program:
    """Rows of the form sum <= right, in the order of their making."""

    columns: int
    row: list[int] = field(default_factory=list)
    at: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    right: list[float] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    bought: dict[int, str] = field(default_factory=dict)

    def add(self, at: Sequence[int], value: Sequence[float], right: float, *, ransom: str = "") -> int:
        number = len(self.right)
        self.row += [number] * len(at)
        self.at += list(at)
        self.value += [float(one) for one in value]
        self.right.append(right)
        if ransom:
            extra = self.more(RANSOM)
            self.row.append(number)
            self.at.append(extra)
            self.value.append(-1.0)
            self.bought[extra] = ransom
        return number

    def more(self, price: float) -> int:
        """Add a variable of its own, >= 0, that costs so many points."""
        self.price.append(price)
        return self.columns + len(self.price) - 1


def relax(book: Book, spreads: Sequence[Spread], pairs: Sequence[tuple[int, int]], locked: Sequence[int] = ()) -> Relaxed:
    """Return the linear program's answer.

    Parameters
    ----------
    pairs : of frames that may not both be in and that the program should mind. locked : columns that must be in.
    """
    count = len(spreads)
    program = _Program(count)
    users = _users(spreads)
    groups = _group_rows(book, spreads, program)
    alone = _alone(book)
    singles = {frame: program.add(at, [1.0] * len(at), 1.0) for frame, at in users.items() if alone[frame]}
    twins = {
        pair: program.add([*users.get(pair[0], []), *users.get(pair[1], [])], [1.0] * (len(users.get(pair[0], [])) + len(users.get(pair[1], []))), 1.0)
        for pair in pairs
    }
    pins = {
        frame: program.add(users.get(frame, []), [-1.0] * len(users.get(frame, [])), -1.0, ransom=f"include {frame}")
        for frame in book.problem.include.tolist()
    }
    gaps = _gap_rows(book, spreads, program)
    chapters = _chapter_rows(book, spreads, program)
    people = _people_rows(book, spreads, program)
    every = list(range(count))
    sizes = np.array([len(spread.rows) for spread in spreads], dtype=float)
    least, most = book.spreads
    counts = [
        program.add(every, [1.0] * count, most),
        program.add(every, [-1.0] * count, -least, ransom="spreads"),
    ]
    density = [
        program.add(every, list(book.density[0] - sizes), 0.0, ransom="density, least"),
        program.add(every, list(sizes - book.density[1]), 0.0, ransom="density, most"),
    ]
    signs = [1.0 if spread.full else -1.0 for spread in spreads]
    paces = []
    if book.pace > 0:
        alike = program.more(book.pace)
        paces = [program.add([*every, alike], [*(way * sign for sign in signs), -1.0], 1.0) for way in (1.0, -1.0)]
    runs = [
        program.add(every, [1.0 if spread.kind == kind else -2.0 for spread in spreads], 2.0)
        for kind in range(len(book.kinds))
    ]
    ends = []
    for asks, may, name in ((asks_open, book.may_open, "opening"), (asks_close, book.may_close, "closing")):
        chapter = 0 if name == "opening" else book.chapters - 1
        able = [n for n, s in enumerate(spreads) if may(s) and book.chapter[s.first] == chapter]
        ends.append(program.add(able, [-1.0] * len(able), -1.0, ransom=name) if asks(book) else -1)
    answer, dual = _solved(program, spreads, locked)
    frames = int(book.problem.frame.max(initial=-1)) + 1
    toll = np.zeros(frames)
    for frame, row in singles.items():
        toll[frame] += dual[row]
    for (a, b), row in twins.items():
        toll[a] += dual[row]
        toll[b] += dual[row]
    for frame, row in pins.items():
        toll[frame] -= dual[row]
    for number, rows in enumerate(groups):
        first = np.unique(book.problem.frame, return_index=True)[1]
        for label, row in rows.items():
            members = book.problem.frame[first[book.group[number, first] == label]]
            toll[members] += dual[row]
    sizes_of = np.array([kind.size for kind in book.kinds], dtype=float)
    full = np.array([1.0 if kind.full else -1.0 for kind in book.kinds])
    kind = dual[density[0]] * (book.density[0] - sizes_of) + dual[density[1]] * (sizes_of - book.density[1])
    if paces:
        kind = kind + full * (dual[paces[0]] - dual[paces[1]])
    kind = kind + 3.0 * dual[runs] - 2.0 * dual[runs].sum()
    chapter = np.zeros((book.chapters, len(book.kinds)))
    for number, row in chapters.items():
        chapter[number] -= dual[row]
    for number, (over, under) in people.items():
        usual = book.usual[number]
        chapter[number] += dual[over] * -(usual + book.even) * sizes_of + dual[under] * (usual - book.even) * sizes_of
        first = np.unique(book.problem.frame, return_index=True)[1]
        inside = (book.passage[first] >= 0) & book.shows[first]
        inside[inside] = book.chapter[book.passage[first[inside]]] == number
        toll[book.problem.frame[first[inside]]] += dual[over] - dual[under]
    gap = np.zeros(max(1, len(book.chapter)))
    for passage, row in gaps.items():
        gap[passage] = dual[row]
    duals = Duals(
        toll,
        gap,
        chapter,
        float(dual[counts[0]] - dual[counts[1]]),
        kind,
        float(dual[ends[0]]) if ends[0] >= 0 else 0.0,
        float(dual[ends[1]]) if ends[1] >= 0 else 0.0,
        book.chapter,
    )
    bought = tuple(name for extra, name in program.bought.items() if answer[extra] > 1e-6)
    paid = RANSOM * sum(answer[extra] for extra in program.bought)
    points = sum(s.score * w for s, w in zip(spreads, answer, strict=False))
    costs = sum(price * w for price, w in zip(program.price, answer[count:], strict=True)) - paid
    return Relaxed(float(points - costs), answer[:count], duals, bought)


def _solved(program: _Program, spreads: Sequence[Spread], locked: Sequence[int]) -> tuple[Floats, Floats]:
    total = program.columns + len(program.price)
    cost = np.concatenate([[-spread.score for spread in spreads], program.price])
    matrix = coo_matrix((program.value, (program.row, program.at)), shape=(len(program.right), total)).tocsr()
    bounds = np.array([(0.0, np.inf)] * total)
    bounds[list(locked), 0] = 1.0
    found = linprog(cost, A_ub=matrix, b_ub=program.right, bounds=bounds, method="highs")
    if found.x is None:
        raise RuntimeError(f"the linear program of a book has no solution: {found.message}")
    return np.asarray(found.x), -np.asarray(found.ineqlin.marginals)


def _alone(book: Book) -> NDArray[np.bool_]:
    """Return which frames, [frames], no group lets in only once: those need a row of their own."""
    alone = np.ones(int(book.problem.frame.max(initial=-1)) + 1, dtype=bool)
    for number in np.flatnonzero(book.group_cap == 1):
        alone[book.problem.frame[book.group[number] >= 0]] = False
    return alone


def _users(spreads: Sequence[Spread]) -> dict[int, list[int]]:
    users: dict[int, list[int]] = {}
    for number, spread in enumerate(spreads):
        for frame in spread.frames:
            users.setdefault(frame, []).append(number)
    return users


def _group_rows(book: Book, spreads: Sequence[Spread], program: _Program) -> list[dict[int, int]]:
    made = []
    for number, cap in enumerate(book.group_cap.tolist()):
        inside: dict[int, dict[int, float]] = {}
        for at, spread in enumerate(spreads):
            for label in book.group[number, list(spread.rows)].tolist():
                if label >= 0:
                    own = inside.setdefault(label, {})
                    own[at] = own.get(at, 0.0) + 1.0
        made.append(
            {label: program.add(list(own), list(own.values()), cap) for label, own in inside.items()}
        )
    return made


def _gap_rows(book: Book, spreads: Sequence[Spread], program: _Program) -> dict[int, int]:
    rows = {}
    for passage in range(len(book.chapter) - 1):
        at = [n for n, spread in enumerate(spreads) if spread.first == passage and spread.last > passage]
        if at:
            rows[passage] = program.add(at, [1.0] * len(at), 1.0)
    return rows


def _chapter_rows(book: Book, spreads: Sequence[Spread], program: _Program) -> dict[int, int]:
    rows = {}
    for chapter in range(book.chapters):
        at = [n for n, spread in enumerate(spreads) if book.chapter[spread.first] == chapter]
        rows[chapter] = program.add(at, [-1.0] * len(at), -1.0, ransom=f"chapter {chapter}")
    return rows


def _people_rows(book: Book, spreads: Sequence[Spread], program: _Program) -> dict[int, tuple[int, int]]:
    rows: dict[int, tuple[int, int]] = {}
    if book.people <= 0:
        return rows
    for chapter, usual in enumerate(book.usual):
        if np.isnan(usual):
            continue
        own = [(n, s) for n, s in enumerate(spreads) if book.chapter[s.first] == chapter]
        beyond = program.more(book.people)
        at = [*(n for n, _ in own), beyond]
        over = [*(s.people - (usual + book.even) * len(s.rows) for _, s in own), -1.0]
        under = [*((usual - book.even) * len(s.rows) - s.people for _, s in own), -1.0]
        rows[chapter] = program.add(at, over, 0.0), program.add(at, under, 0.0)
    return rows
