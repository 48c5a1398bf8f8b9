"""Books of small events: against every choice tried, rule by rule, and against a book made front to back."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.book import book_score
from setsolver.domain.book_rules import broken_book
from setsolver.solver.book import greedy_book, solve_book
from setsolver.solver.book.pricing import Pricer
from setsolver.solver.book.relaxation import relax
from tests.solver.book.events import best_by_trying, event


@pytest.mark.parametrize("seed", [0, 2, 4, 6])
def test_the_best_book_is_that_of_all_tried(seed):
    book = event(seed)
    found = solve_book(book)
    assert broken_book(book, found.spreads) == []
    assert found.status == "optimal"
    assert found.score == pytest.approx(best_by_trying(book), abs=1e-4)
    assert found.score - 1e-6 <= found.bound <= found.score + 0.01
    assert book_score(book, found.spreads) == pytest.approx(found.score)


def test_no_book_is_told_with_the_rule_that_cannot_be_kept():
    book = event(0)
    nobody = replace(book, leads=np.zeros(len(book.passage), dtype=bool))
    found = solve_book(nobody)
    assert (found.spreads, found.status, found.clash) == ((), "infeasible", ("opening",))
    assert best_by_trying(replace(nobody, spreads=(2, 2))) is None


@settings(max_examples=5, deadline=None)
@given(st.integers(0, 10_000), st.integers(10, 16), st.integers(2, 5))
def test_whatever_is_found_keeps_every_rule_and_its_bound(seed, frames, passages):
    book = event(seed, frames=frames, passages=passages, chapters=2, spreads=(3, 5))
    found = solve_book(book, time_limit=20)
    greedy = greedy_book(book)
    if greedy is not None:
        assert broken_book(book, greedy) == []
        assert found.score >= book_score(book, greedy) - 1e-9
        assert found.bound >= book_score(book, greedy) - 1e-6
    if found.spreads:
        assert broken_book(book, found.spreads) == []
        assert found.bound >= found.score - 1e-9


def test_pinned_frames_are_in_and_barred_ones_out():
    book = event(2)
    free = solve_book(book)
    inside = {frame for spread in free.spreads for frame in spread.frames}
    pinned = next(frame for frame in range(9) if frame not in inside and not np.isnan(book.problem.gain[frame]).all())
    barred = min(inside)
    asked = replace(book, problem=replace(book.problem, include=np.array([pinned]), exclude=np.array([barred])))
    found = solve_book(asked)
    now = {frame for spread in found.spreads for frame in spread.frames}
    assert pinned in now
    assert barred not in now
    assert broken_book(asked, found.spreads) == []
    assert found.score == pytest.approx(best_by_trying(asked), abs=1e-4)


def test_a_locked_spread_stays_and_the_rest_is_the_best_around_it():
    book = event(4)
    spread = solve_book(replace(book, opens=np.zeros(0, dtype=bool), spreads=(2, 2))).spreads[1]
    found = solve_book(book, locked=[spread])
    assert spread in found.spreads
    assert found.score <= solve_book(book).score + 1e-6
    assert broken_book(book, found.spreads) == []


def test_what_is_known_from_earlier_gives_the_same_book():
    book = event(6)
    first = solve_book(book)
    again = solve_book(book, known=first.pool)
    assert again.score == pytest.approx(first.score)


def test_the_same_work_gives_the_same_book_whatever_the_threads():
    book = event(11, frames=24, passages=6, chapters=2, spreads=(5, 7))
    one = solve_book(book, work=0.02, workers=1)
    two = solve_book(book, work=0.02, workers=2)
    assert (one.spreads, one.score, one.bound, one.pool) == (two.spreads, two.score, two.bound, two.pool)
    assert broken_book(book, one.spreads) == []
    assert not one.hurried


def test_a_search_that_time_ends_says_so():
    book = event(11, frames=24, passages=6, chapters=2, spreads=(5, 7))
    assert solve_book(book, time_limit=1e-3).hurried


def test_a_changed_book_is_never_worse_than_the_one_it_begins_with():
    """Almost no work: what is there already stays; frames of it that are barred begin nothing."""
    book = event(6)
    first = solve_book(book)
    again = solve_book(book, work=1e-9, earlier=first.spreads, known=first.pool)
    assert again.score == pytest.approx(first.score)
    assert broken_book(book, again.spreads) == []


def test_an_empty_page_costs_its_points():
    book = event(2, opens=[])
    quiet = [spread for spread in solve_book(book).pool if book.kinds[spread.kind].empty][:1]
    free = replace(book, empty=0.0)
    assert book_score(free, quiet) - book_score(book, quiet) == pytest.approx(12.0)
    assert sum(book.kinds[spread.kind].empty for spread in solve_book(replace(book, empty=200.0)).spreads) <= sum(
        book.kinds[spread.kind].empty for spread in solve_book(free).spreads
    )


def test_the_program_is_never_below_the_best_book_of_its_spreads():
    book = event(0)
    found = solve_book(book)
    assert relax(book, found.pool, []).value >= found.score - 1e-6


def test_tolls_are_what_the_program_charges():
    """A column's reduced cost is 0 where it is used: its points are its frames' tolls and the cost of its lot."""
    book = event(6)
    spreads = solve_book(book).pool
    relaxed = relax(book, spreads, [])
    pricer = Pricer(book)
    for spread, weight in zip(spreads, relaxed.weight, strict=True):
        lots = [
            lot for lot in pricer.lots() if (lot.first, lot.last, lot.kind) == (spread.first, spread.last, spread.kind)
        ]
        serves = book.chapter[spread.first] == 0 and book.may_open(spread)
        lot = next(lot for lot in lots if lot.end == ("open" if serves else "any"))
        paid = relaxed.duals.toll[list(spread.frames)].sum() + relaxed.duals.cost(lot)
        assert paid >= spread.score - 1e-6
        if weight > 1e-6:
            assert paid == pytest.approx(spread.score, abs=1e-6)


def test_no_kind_stands_thrice_running():
    """Quiet spreads alone are worth most, and pace costs nothing: the rule of three still holds."""
    book = event(1, frames=14, passages=4, spreads=(5, 5), pace=0.0, opens=np.zeros(0, dtype=bool))
    gain = book.problem.gain.copy()
    gain[:, 1] = 500.0
    rich = replace(book, problem=replace(book.problem, gain=gain))
    found = solve_book(rich, time_limit=20)
    assert found.spreads
    assert broken_book(rich, found.spreads) == []
    assert sum(spread.kind == 1 for spread in found.spreads) == 4
