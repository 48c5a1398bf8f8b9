"""The book that is made front to back, against the same way walked by plain loops over every spread that there is."""

import numpy as np
import pytest

from setsolver.domain.book import book_score
from setsolver.domain.book_rules import broken_book
from setsolver.solver.book.greedy import greedy_book
from tests.solver.book.events import event, every_spread


def shares(book, wanted):
    """How many spreads each passage gives: one a chapter, of its fullest passage; the rest by frames not yet told."""
    frames = [len(set(book.problem.frame[book.passage == p].tolist())) for p in range(len(book.chapter))]
    told = [0] * len(frames)
    for chapter in range(book.chapters):
        own = [p for p in range(len(frames)) if book.chapter[p] == chapter]
        told[max(own, key=lambda p: frames[p])] += 1
    while sum(told) < wanted:
        told[max(range(len(frames)), key=lambda p: frames[p] / (told[p] + 1))] += 1
    return told


def mates(book, frame):
    """The frames that may not be in a book with this one."""
    rows = np.flatnonzero(book.problem.frame == frame)
    groups = [
        (book.group[g] == label) & (label >= 0)
        for g in np.flatnonzero(book.group_cap == 1)
        for label in book.group[g, rows]
    ]
    same = {int(f) for inside in groups for f in book.problem.frame[inside]}
    foes = {b if a == frame else a for a, b in book.problem.conflict.tolist() if frame in (a, b)}
    return {frame} | same | foes


def walked(book, wanted, every):
    """The spreads of the way: a passage after the other, each time the best that pace, density and three leave."""
    made, out, owed, left = [], set(), 0, wanted
    for passage, share in enumerate(shares(book, wanted)):
        owed += share
        while owed:
            pictures = sum(len(spread.rows) for spread in made)
            room = [bound * (len(made) + 1) - pictures for bound in book.density]
            able = [
                spread
                for spread in every
                if (spread.first, spread.last) == (passage, passage)
                and not out & set(spread.frames)
                and room[0] - 1.5 <= len(spread.rows) <= room[1] + 1.5
                and not (len(made) > 1 and made[-1].kind == made[-2].kind == spread.kind)
                and (made or book.may_open(spread))
                and (left > 1 or not made or book.may_close(spread))
            ]
            best = {}  # of each kind the one of most points by itself, and only where it may follow
            for spread in able:
                best[spread.kind] = max(best.get(spread.kind, spread), spread, key=lambda one: one.score)
            offers = [spread for spread in best.values() if not made or made[-1].order <= spread.order]
            if not offers:
                break
            spread = max(offers, key=lambda one: book_score(book, [*made[-1:], one]))
            made.append(spread)
            for frame in spread.frames:
                out |= mates(book, frame)
            owed, left = owed - 1, left - 1
    return made


def by_hand(book):
    (least, most), every = book.spreads, every_spread(book)
    for wanted in (most, (least + most) // 2, least):
        spreads = walked(book, wanted, every)
        if not broken_book(book, spreads):
            return spreads
    return None


SHAPES = {
    "all rules": {},
    "few pictures": {"density": (1.0, 1.15), "opens": []},
    "many pictures": {"density": (1.25, 2.0), "opens": []},
    "no pace": {"pace": 0.0, "opens": []},
    "a closing": {"closes": np.array([False, False, True])},
}


@pytest.mark.parametrize("changes", SHAPES.values(), ids=list(SHAPES))
def test_the_way_is_walked_front_to_back_by_the_best_spread_each_time(changes):
    books = 0
    for seed in range(7):
        book = event(seed, frames=13, passages=4, chapters=2, spreads=(3, 6), **changes)
        hand, found = by_hand(book), greedy_book(book)
        assert (found is None) == (hand is None), seed
        books += hand is not None
        if hand is not None:
            assert [parts(spread) for spread in found] == [parts(spread) for spread in hand], seed
    assert books


def parts(spread):
    return spread.kind, sorted(zip(spread.rows, spread.roles, strict=True))
