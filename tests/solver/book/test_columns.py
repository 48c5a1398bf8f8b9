"""Columns of small books: what pricing finds and bounds, against every spread that there is."""

from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import numpy as np
import pytest

from setsolver.solver.book import pricing
from setsolver.solver.book.columns import TOLERANCE, Columns
from setsolver.solver.book.pricing import Pricer
from setsolver.solver.book.relaxation import relax
from setsolver.solver.book.timing import Timing
from tests.solver.book.events import best_by_trying, event, every_spread


def columns_of(book, *, stop=None, known=()):
    return Columns(book, Pricer(book), Timing(None, stop), known)


def priced_out(book, columns):
    """Price until no spread is worth more than its tolls; return the linear program's answer and the last bound."""
    with ThreadPoolExecutor(2) as threads:
        columns.first(threads)
        while True:
            before = len(columns.pool)
            relaxed = relax(book, list(columns.pool), [])
            bound, whole = columns.priced(threads, relaxed.duals)
            assert whole
            if len(columns.pool) == before:
                return relaxed, bound


@pytest.mark.parametrize("seed", [0, 2, 6])
def test_columns_priced_out_bound_every_book(seed):
    book = event(seed)
    columns = columns_of(book)
    relaxed, bound = priced_out(book, columns)
    everything = relax(book, every_spread(book), [])
    assert relaxed.value == pytest.approx(everything.value, abs=book.spreads[1] * TOLERANCE + 1e-5)
    assert bound >= best_by_trying(book) - 1e-6


@pytest.mark.parametrize("seed", [0, 2])
def test_what_is_listed_holds_every_spread_that_is_worth_nearly_its_tolls(seed):
    book = event(seed)
    columns = columns_of(book)
    relaxed, _ = priced_out(book, columns)
    room = 12.0
    listed = columns.listed(relaxed.duals, room, [])
    assert listed is not None
    pricer = Pricer(book)
    twins = [set(pair) for pair in book.problem.conflict.tolist()]
    for spread in every_spread(book):
        if set(spread.frames) in twins:
            continue  # no book holds it
        serves = book.chapter[spread.first] == 0 and book.may_open(spread)
        lots = [one for one in pricer.lots() if one[:3] == (spread.first, spread.last, spread.kind)]
        lot = next(one for one in lots if one.end == ("open" if serves else "any"))
        reduced = spread.score - relaxed.duals.toll[list(spread.frames)].sum() - relaxed.duals.cost(lot)
        if reduced > -room + 1e-6:
            same = [s for s in listed if set(s.frames) == set(spread.frames) and s.kind == spread.kind]
            assert any(one.score >= spread.score - 1e-6 for one in same)


def test_what_is_stopped_claims_no_bound():
    book = event(0)
    columns = columns_of(book, stop=lambda: True)
    with ThreadPoolExecutor(1) as threads:
        columns.first(threads)
        assert not columns.pool
        relaxed = relax(book, every_spread(book), [])
        bound, whole = columns.priced(threads, relaxed.duals)
    assert (bound, whole) == (np.inf, False)
    assert columns.listed(relaxed.duals, 5.0, []) is None


def test_what_is_known_comes_first_and_once():
    book = event(0)
    known = every_spread(book)[:3]
    columns = columns_of(book, known=known)
    columns.add([*known[1:], *every_spread(book)[3:4]])
    assert list(columns.pool) == every_spread(book)[:4]


@pytest.mark.parametrize(("bound", "work"), [(0.0, 0.003 + 0.1), (-np.inf, 0.003 + 0.1 + 0.025)])
def test_work_is_counted_in_what_a_search_did(monkeypatch, bound, work):
    """By hand: 3,000 microseconds a search, 1 for each 30 candidates weighed, 25,000 for a proof of nothing."""
    found = SimpleNamespace(choice=None, bound=bound, finished=True, nodes=3_000_000)
    monkeypatch.setattr(pricing, "search", lambda *_, **__: found)
    pricer = Pricer(event(0))
    offer = pricer.best(pricer.lots()[0], np.zeros(pricer.frames))
    assert offer == (None, bound, True, pytest.approx(work))
