"""The book as a linear program over the spreads known so far: its value, and what frames and places are worth.

Pace flows from window to window (``pacing``); that no kind stands thrice running enters by what it implies for counts:
of a kind there are at most twice as many as of all others, and two. So the value is never below that of the best book
of these spreads. Rules that no book may break are bought off at a price that no points pay, so that a program always
has a solution; what is bought off in the end names the clash.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

from setsolver.domain.book import Book, Spread, worth
from setsolver.domain.problem import Floats, Ints
from setsolver.solver.book.pacing import PaceRows, mind_pace, pace_costs
from setsolver.solver.book.pricing import Lot, asks_close, asks_open

__all__ = ["Duals", "Relaxed", "relax"]

RANSOM = 20_000.0
"""Points at which a rule may be bought off."""


@dataclass(frozen=True, eq=False)
class Duals:
    """What a frame costs, [frames], and what else a spread of a lot costs (``cost``).

    value : of the program's dual. No book has more points than that and the most spreads times what one is worth more
    than its cost. gap : [passages], for reaching over to the next. chapter : [chapters, kinds]. kind : [kinds].
    pace : by window, of a quiet and a full spread. full : [kinds].
    """

    toll: Floats
    gap: Floats
    chapter: Floats
    each: float
    kind: Floats
    opening: float
    closing: float
    value: float
    of_chapter: Ints
    pace: Mapping[tuple[int, int], Floats]
    full: NDArray[np.bool_]

    def cost(self, lot: Lot) -> float:
        """Return what a spread of a lot costs beside its frames."""
        crossing = self.gap[lot.first] if lot.last > lot.first else 0.0
        ends = {"open": self.opening, "close": self.closing}.get(lot.end, 0.0)
        chapter = int(self.of_chapter[lot.first])
        pace = self.pace[lot.first, lot.last][int(self.full[lot.kind])] if self.pace else 0.0
        return float(pace + self.each + crossing + self.chapter[chapter, lot.kind] + self.kind[lot.kind] - ends)


@dataclass(frozen=True, eq=False)
class Relaxed:
    """value : of the program, with what was bought off left out. weight : of each spread, [columns]. bought : rules."""

    value: float
    weight: Floats
    duals: Duals
    bought: tuple[str, ...]


def relax(
    book: Book, spreads: Sequence[Spread], circles: Sequence[tuple[int, ...]], locked: Sequence[int] = ()
) -> Relaxed:
    """Return the linear program's answer.

    Parameters
    ----------
    circles : frames of which one may be in, and that the program should mind. locked : columns that must be in.
    """
    program = _Program(book, spreads)
    program.mind_frames(circles)
    program.mind_places()
    program.mind_counts()
    return program.solved(locked)


@dataclass
class _Program:
    """Rows of the form sum <= right, in the order of their making, and by what they are about.

    at, value : of each row, columns and their factors. price : of variables beyond the spreads. bought : rule by
    variable.
    """

    book: Book
    spreads: Sequence[Spread]
    at: list[Sequence[int]] = field(default_factory=list)
    value: list[Sequence[float]] = field(default_factory=list)
    right: list[float] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    bought: dict[int, str] = field(default_factory=dict)
    frame_rows: dict[int, list[int]] = field(default_factory=dict)
    rewards: dict[int, int] = field(default_factory=dict)
    group_rows: list[dict[int, int]] = field(default_factory=list)
    gap_rows: dict[int, int] = field(default_factory=dict)
    chapter_rows: dict[int, int] = field(default_factory=dict)
    people_rows: dict[int, tuple[int, int]] = field(default_factory=dict)
    end_rows: dict[str, int] = field(default_factory=dict)
    run_rows: list[int] = field(default_factory=list)
    pace_rows: PaceRows = field(default_factory=dict)
    count_rows: tuple[int, ...] = ()
    density_rows: tuple[int, ...] = ()

    def add(self, at: Sequence[int], value: Sequence[float] | float, right: float, ransom: str = "") -> int:
        """Add a row and return its number; ransom : what it is called where it may be bought off."""
        values = [value] * len(at) if isinstance(value, float) else list(value)
        columns = list(at)
        if ransom:
            extra = self.more(RANSOM)
            columns.append(extra)
            values.append(-1.0)
            self.bought[extra] = ransom
        self.at.append(columns)
        self.value.append(values)
        self.right.append(right)
        return len(self.right) - 1

    def same(self, at: Sequence[int], value: Sequence[float], right: float) -> tuple[int, int]:
        """Add two rows that make a sum equal to a number, from above and from below."""
        return self.add(at, value, right), self.add(at, [-one for one in value], -right)

    def more(self, price: float) -> int:
        """Add a variable of its own, >= 0, that costs so many points."""
        self.price.append(price)
        return len(self.spreads) + len(self.price) - 1

    def mind_frames(self, circles: Sequence[tuple[int, ...]]) -> None:
        """No frame twice, no group over its cap, no twins; pinned frames in."""
        users = _users(self.spreads)
        alone = _alone(self.book)
        for frame, at in users.items():
            if alone[frame]:
                self.frame_rows.setdefault(frame, []).append(self.add(at, 1.0, 1.0))
        for circle in circles:
            row = self.add([n for frame in circle for n in users.get(frame, [])], 1.0, 1.0)
            for frame in circle:
                self.frame_rows.setdefault(frame, []).append(row)
        for frame in self.book.problem.include.tolist():
            self.rewards[frame] = self.add(users.get(frame, []), -1.0, -1.0, f"include {frame}")
        for number, cap in enumerate(self.book.group_cap.tolist()):
            labels: dict[int, dict[int, float]] = {}
            for n, spread in enumerate(self.spreads):
                for label in self.book.group[number, list(spread.rows)].tolist():
                    if label >= 0:
                        own = labels.setdefault(label, {})
                        own[n] = own.get(n, 0.0) + 1.0
            self.group_rows.append({name: self.add(list(own), list(own.values()), cap) for name, own in labels.items()})

    def mind_places(self) -> None:
        """One spread across a gap, every chapter told, people shown evenly, a first and a last spread that may be."""
        for passage in range(len(self.book.chapter) - 1):
            at = [n for n, spread in enumerate(self.spreads) if spread.first == passage < spread.last]
            if at:
                self.gap_rows[passage] = self.add(at, 1.0, 1.0)
        for chapter in range(self.book.chapters):
            own = self._of(chapter)
            self.chapter_rows[chapter] = self.add(own, -1.0, -1.0, f"chapter {chapter}")
            usual = self.book.usual[chapter] if len(self.book.usual) else np.nan
            if self.book.people > 0 and not np.isnan(usual):
                self.people_rows[chapter] = self._people(own, float(usual))
        for name, asks, may, chapter in (
            ("opening", asks_open, self.book.may_open, 0),
            ("closing", asks_close, self.book.may_close, self.book.chapters - 1),
        ):
            if asks(self.book):
                able = [n for n in self._of(chapter) if may(self.spreads[n])]
                self.end_rows[name] = self.add(able, -1.0, -1.0, name)

    def _people(self, own: list[int], usual: float) -> tuple[int, int]:
        beyond = self.more(self.book.people)
        sizes = [len(self.spreads[n].rows) for n in own]
        shown = [self.spreads[n].people for n in own]
        over = [p - (usual + self.book.even) * size for p, size in zip(shown, sizes, strict=True)]
        under = [(usual - self.book.even) * size - p for p, size in zip(shown, sizes, strict=True)]
        at = [*own, beyond]
        return self.add(at, [*over, -1.0], 0.0), self.add(at, [*under, -1.0], 0.0)

    def mind_counts(self) -> None:
        """How many spreads and pictures, and what pace and the rule of three imply."""
        every = list(range(len(self.spreads)))
        sizes = np.array([len(spread.rows) for spread in self.spreads], dtype=float)
        (least, most), (low, high) = self.book.spreads, self.book.density
        self.count_rows = self.add(every, 1.0, most), self.add(every, -1.0, -least, "spreads")
        self.density_rows = (
            self.add(every, (low - sizes).tolist(), 0.0, "density, least"),
            self.add(every, (sizes - high).tolist(), 0.0, "density, most"),
        )
        if self.book.pace > 0:
            self.pace_rows = mind_pace(self.book, self.spreads, self.more, self.same)
        kinds = np.array([spread.kind for spread in self.spreads])
        for kind in range(len(self.book.kinds)):
            self.run_rows.append(self.add(every, np.where(kinds == kind, 1.0, -2.0).tolist(), 2.0))

    def _of(self, chapter: int) -> list[int]:
        return [n for n, spread in enumerate(self.spreads) if self.book.chapter[spread.first] == chapter]

    def solved(self, locked: Sequence[int]) -> Relaxed:
        """Return the answer of the program with its prices."""
        count, extra = len(self.spreads), len(self.price)
        row = np.repeat(np.arange(len(self.at)), [len(at) for at in self.at])
        columns, values = (np.concatenate([*map(np.asarray, parts)]) for parts in (self.at, self.value))
        matrix = coo_matrix((values, (row, columns.astype(np.int64))), shape=(len(self.at), count + extra)).tocsr()
        cost = np.concatenate([[-worth(self.book, spread) for spread in self.spreads], self.price])
        bounds = np.array([(0.0, np.inf)] * (count + extra))
        bounds[list(locked), 0] = 1.0
        found = linprog(cost, A_ub=matrix, b_ub=self.right, bounds=bounds, method="highs")
        if found.x is None:
            raise RuntimeError(f"the linear program of a book has no solution: {found.message}; please report this")
        dual = -np.asarray(found.ineqlin.marginals)
        forced = -float(np.asarray(found.lower.marginals)[list(locked)].sum())
        paid = RANSOM * sum(found.x[n] for n in self.bought)
        bought = tuple(name for n, name in self.bought.items() if found.x[n] > 1e-6)
        duals = self._duals(dual, float(dual @ np.array(self.right) + forced))
        return Relaxed(float(-found.fun + paid), np.asarray(found.x[:count]), duals, bought)

    def _duals(self, dual: Floats, value: float) -> Duals:
        book = self.book
        kinds = len(book.kinds)
        sizes = np.array([kind.size for kind in book.kinds], dtype=float)
        low, high = self.density_rows
        kind = dual[low] * (book.density[0] - sizes) + dual[high] * (sizes - book.density[1])
        kind = kind + book.empty * np.array([one.empty for one in book.kinds], dtype=float)
        kind = kind + 3.0 * dual[self.run_rows] - 2.0 * dual[self.run_rows].sum()
        chapter = np.zeros((book.chapters, kinds))
        for number, row in self.chapter_rows.items():
            chapter[number] -= dual[row]
        for number, (over, under) in self.people_rows.items():
            usual = book.usual[number]
            chapter[number] += (dual[under] * (usual - book.even) - dual[over] * (usual + book.even)) * sizes
        gap = np.zeros(max(1, len(book.chapter)))
        gap[list(self.gap_rows)] = dual[list(self.gap_rows.values())]
        return Duals(
            toll=self._tolls(dual),
            gap=gap,
            chapter=chapter,
            each=float(dual[self.count_rows[0]] - dual[self.count_rows[1]]),
            kind=kind,
            opening=_of_row(dual, self.end_rows, "opening"),
            closing=_of_row(dual, self.end_rows, "closing"),
            value=value,
            of_chapter=book.chapter,
            pace=pace_costs(self.pace_rows, dual),
            full=np.array([one.full for one in book.kinds]),
        )

    def _tolls(self, dual: Floats) -> Floats:
        """Return what each frame costs by the rows that speak of it."""
        book = self.book
        frames, first = np.unique(book.problem.frame, return_index=True)
        toll = np.zeros(int(frames.max(initial=-1)) + 1)
        for frame, rows in self.frame_rows.items():
            toll[frame] += dual[rows].sum()
        for frame, row in self.rewards.items():
            toll[frame] -= dual[row]
        for number, rows_of in enumerate(self.group_rows):
            if rows_of:
                labels = book.group[number, first]
                price = np.zeros(int(max(labels.max(initial=0), *rows_of)) + 1)
                price[list(rows_of)] = dual[list(rows_of.values())]
                inside = labels >= 0
                toll[frames[inside]] += price[labels[inside]]
        if self.people_rows:
            shown = (book.passage[first] >= 0) & book.shows[first]
            chapter = book.chapter[book.passage[first]]
            for number, (over, under) in self.people_rows.items():
                toll[frames[shown & (chapter == number)]] += dual[over] - dual[under]
        return toll


def _of_row(dual: Floats, rows: Mapping[str, int], name: str) -> float:
    return float(dual[rows[name]]) if name in rows else 0.0


def _alone(book: Book) -> NDArray[np.bool_]:
    """Return which frames, [frames], no group lets in only once: those need a row of their own."""
    alone = np.ones(int(book.problem.frame.max(initial=-1)) + 1, dtype=bool)
    for number in np.flatnonzero(book.group_cap == 1):
        alone[book.problem.frame[book.group[number] >= 0]] = False
    return alone


def _users(spreads: Sequence[Spread]) -> dict[int, list[int]]:
    """Return the columns that each frame is in."""
    users: dict[int, list[int]] = {}
    for number, spread in enumerate(spreads):
        for frame in spread.frames:
            users.setdefault(frame, []).append(number)
    return users
