"""Prices of the linear program by its duality: what is used is worth just what it pays, and nothing is worth more.

Complementary slackness (Dantzig 1963) tells both without the program's own rows; each book makes another rule dear.
"""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.solver.book.pricing import Pricer
from setsolver.solver.book.relaxation import relax
from tests.solver.book.events import event, every_spread


def poor(book, chapter):
    """The book with next to no points for the frames of a chapter."""
    book.problem.gain[book.chapter[book.passage] == chapter] *= 0.02
    return book


def slot(book, number, times):
    """The book with so many times the points in one slot."""
    book.problem.gain[:, number] *= times
    return book


def wished(book):
    """The book with a wish for the frame that is worth least."""
    worth = np.where(np.isnan(book.problem.gain), -1.0, book.problem.gain).max(axis=1)
    least = int(np.where(worth < 0, np.inf, worth).argmin())
    book.problem.gain[least] *= 0.05
    return replace(book, problem=replace(book.problem, include=np.array([least])))


def unasked(book):
    """The book with nothing asked of how often its first chapter shows people."""
    book.usual[0] = np.nan
    return book


def across(book):
    """The book of two passages in which pairs are worth most, and only from both."""
    for passage, number in ((0, 2), (1, 0)):
        book.problem.gain[book.passage == passage, number] = np.nan
    return slot(book, 2, 5.0)


def calm(seed, **changes):
    return event(seed, frames=12, spreads=(2, 4), **{"people": 0.0, "pace": 0.0, "empty": 0.0, "opens": [], **changes})


DEAR = {
    "a chapter": (lambda seed: poor(calm(seed), 0), lambda duals: -duals.chapter.max(axis=1).min()),
    "an opening": (
        lambda seed: slot(calm(seed, opens=np.array([False, True, False])), 1, 0.1),
        lambda duals: duals.opening,
    ),
    "a closing": (
        lambda seed: poor(calm(seed, closes=np.array([False, True, False])), 1),
        lambda duals: duals.closing,
    ),
    "people": (lambda seed: calm(seed, people=40.0), lambda duals: np.ptp(duals.chapter, axis=1).max()),
    "people in one chapter": (lambda seed: unasked(calm(seed, people=40.0)), lambda duals: np.ptp(duals.chapter[1])),
    "few pictures": (lambda seed: slot(calm(seed, density=(1.0, 1.1)), 2, 9.0), lambda duals: np.ptp(duals.kind)),
    "many pictures": (lambda seed: calm(seed, density=(1.8, 2.0)), lambda duals: np.ptp(duals.kind)),
    "a wish": (lambda seed: wished(calm(seed)), lambda duals: -duals.toll.min()),
    "a group": (
        lambda seed: calm(
            seed, group=np.array([np.arange(12) // 6, np.arange(12) % 5 - 1]), group_cap=np.array([2, 1])
        ),
        lambda duals: duals.toll.max(),
    ),
    "a gap": (lambda seed: across(calm(seed, passages=2, chapters=1)), lambda duals: duals.gap.max()),
    "spreads": (calm, lambda duals: duals.each),
    "pace": (lambda seed: calm(seed, pace=60.0), lambda duals: max(abs(one).max() for one in duals.pace.values())),
}


@pytest.mark.parametrize(("made", "price"), DEAR.values(), ids=list(DEAR))
def test_what_is_used_pays_its_worth_and_nothing_is_worth_more(made, price):
    dear = 0
    for seed in range(4):
        book = made(seed)
        spreads = every_spread(book)
        relaxed = relax(book, spreads, [])
        if relaxed.bought:
            continue
        dear += price(relaxed.duals) > 0.5
        lots = Pricer(book).lots()
        for spread, weight in zip(spreads, relaxed.weight, strict=True):
            own = [lot for lot in lots if lot[:3] == (spread.first, spread.last, spread.kind)]
            ends = {"open": book.may_open(spread), "close": book.may_close(spread), "any": False}
            lot = next((lot for lot in own if ends[lot.end]), own[0])
            paid = relaxed.duals.toll[list(spread.frames)].sum() + relaxed.duals.cost(lot)
            assert paid >= spread.score - 1e-6
            if weight > 1e-6:
                assert paid == pytest.approx(spread.score, abs=1e-6)
    assert dear
