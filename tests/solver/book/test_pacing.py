"""Pace in the linear program: its value for whole books, against pace counted along them."""

import itertools
from dataclasses import replace

import pytest

from setsolver.domain.book import book_score, pace_of
from setsolver.solver.book.pacing import windows_of
from setsolver.solver.book.relaxation import relax
from tests.solver.book.events import event, every_spread


def test_windows_are_passages_and_neighbours_within_a_chapter():
    book = event(0, frames=9, passages=4, chapters=2)
    book = replace(book, chapter=book.chapter * 0 + [0, 0, 1, 1])
    assert windows_of(book) == [(0, 0), (0, 1), (1, 1), (2, 2), (2, 3), (3, 3)]


@pytest.mark.parametrize("seed", [0, 2, 6])
def test_a_book_that_is_all_there_is_costs_what_its_pace_costs_where_each_window_has_one_spread(seed):
    """One spread a passage, all of them needed: nothing is left to choose, so the program's value is the book's."""
    book = event(seed, passages=3, chapters=3, spreads=(3, 3), people=0.0, density=(1.0, 2.0), opens=[])
    spreads = every_spread(book)
    seen = set()
    for chosen in itertools.product(*(spreads_in(spreads, passage)[:4] for passage in range(3))):
        frames = [frame for spread in chosen for frame in spread.frames]
        apart = all(not set(pair) <= set(frames) for pair in book.problem.conflict.tolist())
        kinds = {spread.kind for spread in chosen}
        if not apart or len(kinds) == 1 or moments_twice(book, chosen):
            continue
        seen.add(pace_of(chosen))
        assert relax(book, chosen, []).value == pytest.approx(book_score(book, chosen), abs=1e-5)
    assert len(seen) > 1


@pytest.mark.parametrize("seed", range(3))
def test_a_spread_of_two_passages_stands_between_those_of_each(seed):
    """As above: were it counted with either, a quiet, a full and a full one would cost nothing in another order."""
    book = event(seed, frames=14, passages=2, chapters=1, spreads=(3, 3), people=0.0, density=(1.0, 9.0), opens=[])
    spreads, seen = every_spread(book), set()
    for chosen in itertools.product(*(spreads_in(spreads, *window) for window in ((0, 0), (0, 1), (1, 1)))):
        frames = {frame for spread in chosen for frame in spread.frames}
        paces = tuple(spread.full for spread in chosen)
        twins = any(set(pair) <= frames for pair in book.problem.conflict.tolist())
        if paces in seen or twins or len(frames) < sum(len(spread.rows) for spread in chosen):
            continue
        if len({spread.kind for spread in chosen}) == 1 or moments_twice(book, chosen):
            continue
        seen.add(paces)
        assert relax(book, chosen, []).value == pytest.approx(book_score(book, chosen), abs=1e-5)
    assert {(False, True, True), (True, True, False)} <= seen


def spreads_in(spreads, first, last=None):
    """One spread of each kind first, so that pace differs."""
    own = [spread for spread in spreads if (spread.first, spread.last) == (first, first if last is None else last)]
    return sorted(own, key=lambda spread: (sum(s.kind == spread.kind for s in own[: own.index(spread)]), spread.kind))


def moments_twice(book, spreads):
    labels = [label for spread in spreads for label in book.group[0, list(spread.rows)].tolist() if label >= 0]
    return len(set(labels)) < len(labels)
