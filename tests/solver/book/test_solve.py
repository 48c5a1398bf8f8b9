"""What a search for a book tells beside the book: bounds, statuses, what is known of the program, and why it ended."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.book import Book, book_score
from setsolver.domain.book_rules import broken_book
from setsolver.domain.problem import Problem
from setsolver.solver.book import solve as module
from setsolver.solver.book.greedy import greedy_book
from setsolver.solver.book.master import Chosen
from setsolver.solver.book.relaxation import relax
from setsolver.solver.book.solve import CLOSED, _no_better, _without_ends, solve_book
from tests.solver.book.events import KINDS, best_by_trying, event, every_spread


@pytest.mark.parametrize("seed", [0, 3])
def test_what_is_told_of_the_first_book_the_program_and_the_columns_is_so(seed):
    book = event(seed)
    found = solve_book(book)
    greedy = greedy_book(book)
    assert found.greedy == pytest.approx(book_score(book, greedy))
    assert best_by_trying(book) - 1e-6 <= found.relaxed <= relax(book, every_spread(book), []).value + 1e-3
    assert found.columns == len(found.pool) == len(set(found.pool))
    assert set(found.spreads) <= set(found.pool)
    assert {(one.kind, one.frames) for one in found.pool} <= {(one.kind, one.frames) for one in every_spread(book)}
    assert found.gap == found.bound - found.score
    assert found.seconds > 0
    assert not found.hurried


def test_progress_tells_scores_that_rise_and_bounds_that_fall_to_the_answer():
    told = []
    found = solve_book(event(0), progress=lambda score, bound: told.append((score, bound)))
    scores, bounds = zip(*told, strict=True)
    assert list(scores) == sorted(scores)
    assert list(bounds) == sorted(bounds, reverse=True)
    assert (scores[-1], bounds[-1]) == (found.score, found.bound)
    assert found.bound - found.score <= CLOSED
    assert np.isfinite(told).all()


@pytest.mark.parametrize("kind", ["squared", "euclidean"])
def test_before_any_search_no_book_has_more_than_its_best_paid_frame_in_every_spread(kind):
    book = event(0)
    gain = book.problem.gain
    assert _no_better(book) == book.spreads[1] * np.nanmax(gain)
    assert _no_better(book) >= best_by_trying(book)
    worthless = replace(book, problem=replace(book.problem, gain=-np.abs(gain)))
    assert _no_better(worthless) == 0.0
    nobody = replace(book, problem=replace(book.problem, gain=np.full_like(gain, np.nan)))
    assert _no_better(nobody) == 0.0
    apart = {"place": np.arange(len(gain), dtype=float)[:, None], "variety_weight": 1.0, "variety_kind": kind}
    spread_out = replace(book, problem=Problem.from_arrays(book.problem.to_arrays() | apart))
    assert _no_better(spread_out) == np.inf


def test_an_end_that_nobody_may_lead_is_known_at_once():
    book = event(0)
    rows, chapter = np.arange(len(book.passage)), book.chapter[book.passage]
    first, last = chapter == 0, chapter == book.chapters - 1
    assert _without_ends(book) == ()
    for leads, ends, without in (
        (first, last, ()),
        (last, last, ("opening",)),
        (first, first, ("closing",)),
        (rows < 0, rows < 0, ("opening", "closing")),
        (rows == np.flatnonzero(first)[0], rows == np.flatnonzero(last)[-1], ()),
    ):
        assert _without_ends(replace(book, leads=leads, ends=ends)) == without
    nowhere = replace(book, passage=np.where(first, -1, book.passage), leads=first)
    assert _without_ends(nowhere) == ("opening",)


def test_rules_that_no_spreads_keep_together_are_named_with_proof():
    """Every picture is wished, and no book has room for all of them."""
    book = event(0)
    frames = np.arange(9)
    clash = solve_book(replace(book, problem=replace(book.problem, include=frames, conflict=frames[:0].reshape(0, 2))))
    assert (clash.spreads, clash.status, clash.score, clash.bound) == ((), "infeasible", -np.inf, -np.inf)
    assert clash.clash
    assert all(one.startswith("include ") for one in clash.clash)


def test_where_no_sequence_is_found_nothing_is_claimed(monkeypatch):
    """The program has a book and the choice ran out of time: the bound stands, and that no sequence was found."""
    monkeypatch.setattr(module, "greedy_book", lambda *_, **__: None)
    monkeypatch.setattr(module, "choose", lambda *_, **__: Chosen((), np.inf, "unknown"))
    book = event(0)
    found = solve_book(book)
    assert (found.spreads, found.status, found.score, found.greedy) == ((), "unknown", -np.inf, None)
    assert found.clash == ("sequence",)
    assert best_by_trying(book) <= found.bound < _no_better(book)


def test_a_book_that_is_not_proven_says_so_with_the_bound_of_the_program(monkeypatch):
    """A choice that finds the book and proves nothing leaves the bound of all columns."""
    whole = module.choose
    monkeypatch.setattr(module, "choose", lambda *a, **o: replace(whole(*a, **o), bound=np.inf, status="feasible"))
    book = event(0)
    found = solve_book(book)
    assert found.status == "feasible"
    assert found.score <= best_by_trying(book) + 1e-4
    assert found.relaxed - 1e-6 <= found.bound <= found.relaxed + 1e-3
    assert solve_book(book, time_limit=3600).hurried is False


PLAIN = {
    "nothing but problem, kinds and order": {},
    "people shown, nothing asked": {"shows": np.arange(9) % 2 == 0, "people": 20.0},
    "a price of people, nobody usual": {"people": 20.0, "usual": np.full(2, np.nan)},
    "pace alone": {"pace": 30.0},
    "an empty page alone": {"empty": 30.0},
}


@pytest.mark.parametrize("fields", PLAIN.values(), ids=list(PLAIN))
def test_a_book_that_leaves_out_what_it_may_is_solved_as_well(fields):
    for seed in (0, 5):
        whole = event(seed)
        book = Book(whole.problem, KINDS, whole.passage, whole.chapter, whole.rank, whole.spreads, **fields)
        found, best = solve_book(book), best_by_trying(book)
        assert found.status == "optimal"
        assert not broken_book(book, found.spreads)
        assert found.score == pytest.approx(best, abs=1e-4)
        assert found.greedy <= found.score + 1e-9


@pytest.mark.parametrize(("better", "rounds"), [([0, 1, 2, 3], 3), ([0, 1, 1, 1], 2), ([0, 0, 0, 0], 1)])
def test_a_proof_is_tried_again_as_long_as_it_finds_better_books_and_thrice_at_most(monkeypatch, better, rounds):
    """A choice that proves nothing and finds, one after the other, these of four books."""
    book = event(0)
    monkeypatch.setattr(module, "greedy_book", lambda *_, **__: None)
    pool = every_spread(book)
    books = sorted(
        (pair for pair in itertools.combinations(pool, 2) if not broken_book(book, pair)), key=score_in(book)
    )
    told = books[-5:-1]
    found = iter([told[number] for number in better])
    monkeypatch.setattr(module, "choose", lambda *_, **__: Chosen(next(found), np.inf, "feasible"))
    asked = []
    monkeypatch.setattr(module.Columns, "listed", lambda _self, _duals, room, held: asked.append(room) or list(held))
    answer = solve_book(book)
    assert len(asked) == rounds
    assert answer.status == "feasible"
    assert answer.score == pytest.approx(book_score(book, told[better[rounds]]))
    gaps = [round(room + book_score(book, told[better[at]]), 6) for at, room in enumerate(asked)]
    assert len(set(gaps)) == 1  # room for a better book: what the program's bound leaves above the best so far
    assert gaps[0] == pytest.approx(answer.bound, abs=1e-3)


def score_in(book):
    return lambda spreads: book_score(book, spreads)


def test_stopped_at_once_it_tells_what_is_known_without_a_search():
    book = event(0)
    found = solve_book(book, stop=lambda: True)
    assert found.status in ("feasible", "unknown")
    assert found.bound == _no_better(book)
    assert not found.hurried


def test_stopped_before_a_proof_rules_that_were_bought_off_are_named_as_what_may_clash():
    book = event(0)
    wished = replace(book, problem=replace(book.problem, include=np.arange(9)))
    found = solve_book(wished, stop=lambda: True)
    assert (found.spreads, found.status) == ((), "unknown")
    assert "sequence" not in found.clash
    assert {f"include {frame}" for frame in range(9)} <= set(found.clash)


def test_a_locked_spread_is_in_whatever_it_costs_and_the_rest_is_the_best_around_it():
    book = event(4)
    every, kept = every_spread(book), 0
    for worst in sorted(every, key=lambda one: one.score)[:6]:
        beside = [one for one in every if not set(one.frames) & set(worst.frames)]
        asked = replace(book, problem=replace(book.problem, include=np.array(worst.frames)))
        best = best_by_trying(asked, sorted([worst, *beside], key=lambda one: one.order))
        found = solve_book(book, locked=[worst])
        assert bool(found.spreads) is (best is not None)
        if found.spreads:
            kept += 1
            assert worst in found.spreads
            assert found.greedy is None
            assert found.score == pytest.approx(best, abs=1e-4)
    assert kept


def test_an_earlier_book_is_where_the_search_begins_and_is_not_made_anew(monkeypatch):
    book = event(6)
    first = solve_book(book)
    monkeypatch.setattr(module, "greedy_book", lambda *_, **__: pytest.fail("a book was there already"))
    again = solve_book(book, earlier=first.spreads)
    assert again.score == pytest.approx(first.score)
    assert again.greedy is None
    assert set(first.spreads) <= set(again.pool)
