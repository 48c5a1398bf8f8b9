"""The best sequence of a few given spreads, against every choice of them tried: each rule and cost by itself, too."""

import itertools
import time
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from setsolver.domain.book import book_score
from setsolver.domain.book_rules import broken_book, broken_sequence
from setsolver.solver.book.master import choose
from tests.solver.book.events import best_by_trying, event, every_spread


def some(book, seed, count=14):
    spreads = every_spread(book)
    some_of_them = np.random.default_rng(seed).choice(len(spreads), min(count, len(spreads)), replace=False)
    return [spreads[at] for at in sorted(some_of_them.tolist())]


VARIANTS = {
    "all": {},
    "pace alone": {"pace": 60.0, "people": 0.0, "opens": []},
    "people alone": {"pace": 0.0, "people": 40.0, "opens": []},
    "people in one chapter": {"pace": 0.0, "people": 40.0, "opens": [], "usual": np.array([np.nan, 0.5])},
    "neither": {"pace": 0.0, "people": 0.0},
    "few pictures": {"density": (1.0, 1.2), "opens": []},
    "many pictures": {"density": (1.4, 2.0), "opens": []},
    "closing": {"closes": np.array([False, True, False]), "opens": []},
    "three": {"spreads": (3, 3), "opens": []},
}


@pytest.mark.parametrize("changes", VARIANTS.values(), ids=list(VARIANTS))
def test_the_best_of_some_spreads_is_that_of_all_choices_of_them(changes):
    tried = 0
    for seed in range(3):
        book = event(seed, **changes)
        pool = some(book, seed)
        found, best = choose(book, pool[::-1]), best_by_trying(book, pool)
        if best is None:
            assert (found.spreads, found.status, found.bound) == ((), "infeasible", -np.inf)
            continue
        tried += 1
        assert found.status == "optimal"
        assert not broken_sequence(book, found.spreads)
        assert book_score(book, found.spreads) == pytest.approx(best, abs=1e-4)
        assert found.bound == pytest.approx(best, abs=1e-4)  # whole steps of points, of shares and of pace
    assert tried


@settings(max_examples=150)
@given(
    seed=st.integers(0, 5),
    ends=st.tuples(*[st.fractions(1, 2, max_denominator=3) | st.floats(1, 2)] * 2).map(sorted),
    most=st.integers(2, 4),
)
@example(seed=0, ends=(Fraction(5, 3), 2), most=4)  # of 1, 2 and 2 pictures: -667 + 333 + 333 thousandths
@example(seed=0, ends=(1, Fraction(4, 3)), most=4)
@example(seed=0, ends=(1.0004, 2), most=4)  # of one picture each: 0 thousandths
def test_density_holds_as_the_checker_has_it(seed, ends, most):
    book = event(seed, density=tuple(map(float, ends)), spreads=(2, most), pace=0.0, people=0.0, opens=[])
    pool = some(book, seed, 12)
    found, best = choose(book, pool), best_by_trying(book, pool)
    assert (found.status == "infeasible") == (best is None)
    if best is not None:
        assert not broken_sequence(book, found.spreads)
        assert book_score(book, found.spreads) == pytest.approx(best, abs=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_wishes_conflicts_and_locked_spreads_are_kept(seed):
    book = event(seed, opens=[])
    pool = every_spread(book)
    free = choose(book, pool).spreads
    inside = {frame for spread in free for frame in spread.frames}
    missing = next(f for s in pool for f in s.frames if f not in inside)
    wished = choose(replace(book, problem=replace(book.problem, include=np.array([missing]))), pool).spreads
    assert missing in {frame for spread in wished for frame in spread.frames}
    one, two = free[0].frames[0], free[-1].frames[0]
    apart = replace(book, problem=replace(book.problem, conflict=np.array([[one, two]])))
    assert broken_book(apart, free)
    assert not broken_book(apart, choose(apart, pool).spreads)
    locked = next(spread for spread in pool if spread not in free and not set(spread.frames) & inside)
    with_it = choose(book, pool, locked=frozenset({locked})).spreads
    assert locked in with_it
    assert not broken_book(book, with_it)


def test_what_is_known_of_all_books_bounds_these():
    book = event(0)
    pool = every_spread(book)
    score = book_score(book, choose(book, pool).spreads)
    assert choose(book, pool, bound=score + 1e-3).bound == pytest.approx(score, abs=2e-3)
    assert choose(book, pool, bound=score - 1.0).bound <= score - 1.0 + 2e-3


def test_spreads_that_make_no_book_are_told_as_impossible():
    book = event(0)
    for pool in ([], every_spread(book)[:1]):  # a chapter is left without any
        found = choose(book, pool)
        assert (found.spreads, found.bound, found.status) == ((), -np.inf, "infeasible")


@pytest.mark.parametrize("end", ["opens", "closes"])
def test_a_kind_that_may_not_stand_at_an_end_does_not_where_it_is_worth_most(end):
    """Quiet spreads are worth most and may stand anywhere but there: another kind stands there, or there is no book."""
    kept = paid = 0
    for seed in range(12):
        book = event(seed, pace=0.0, people=0.0, **{"opens": [], end: np.array([True, False, True])})
        book.problem.gain[:, 1] *= 4.0
        pool = some(book, seed, 24)
        best, found = best_by_trying(book, pool), choose(book, pool)
        if best is None:
            assert found.status == "infeasible"
            continue
        assert book_score(book, found.spreads) == pytest.approx(best, abs=1e-4)
        kept += found.spreads[0 if end == "opens" else -1].kind != 1
        paid += best < best_by_trying(replace(book, **{end: np.zeros(0, dtype=bool)}), pool) - 1.0
    assert kept > 5
    assert paid > 2


def by_hand(**changes):
    """Four frames of one passage that may all be together; single spreads cost 5 points, quiet ones give 50."""
    rules = {"pace": 0.0, "people": 0.0, "empty": 0.0, "opens": [], **changes}
    book = event(0, frames=4, passages=1, chapters=1, **rules)
    free = replace(book.problem, conflict=np.zeros((0, 2), dtype=np.int64))
    free.gain[:] = [-5.0, 50.0, np.nan]
    return replace(book, problem=free, group=np.full((1, 4), -1))


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("end", ["opens", "closes"])
def test_the_first_and_the_last_of_few_spreads_may_stand_there(end, count):
    """By hand: quiet spreads may not, single ones may; all spreads that there are make the book."""
    book = by_hand(spreads=(count, count), **{end: np.array([True, False, True])})
    spreads = {(spread.frames[0], spread.kind): spread for spread in every_spread(book)}
    for kinds in itertools.product((0, 1), repeat=count):
        if len(set(kinds)) == 1 and count == 3:
            continue
        found = choose(book, [spreads[frame, kind] for frame, kind in enumerate(kinds)])
        stands = kinds[0 if end == "opens" else -1] == 0
        assert found.status == ("optimal" if stands else "infeasible")
        assert len(found.spreads) == count * stands


@pytest.mark.parametrize("between", range(5))
def test_any_one_spread_parts_three_of_a_kind(between):
    """By hand: three quiet spreads of 50 points and one that costs 5: between them all four stand, beside them not."""
    book = by_hand(spreads=(3, 4))
    pool = [spread for spread in every_spread(book) if spread.kind == (0 if spread.frames == (between,) else 1)]
    found = choose(book, pool)
    if between in (1, 2):
        assert [spread.kind for spread in found.spreads] == [int(at != between) for at in range(4)]
    elif between < 4:
        assert sorted(spread.kind for spread in found.spreads) == [0, 1, 1]
    else:  # all four are quiet
        assert found.status == "infeasible"


@pytest.mark.parametrize("limit", [{"work": 0.0}, {"deadline": time.perf_counter() - 1}])
def test_without_time_nothing_is_known(limit):
    book = event(0)
    found = choose(book, every_spread(book), **limit)
    assert (found.spreads, found.bound, found.status) == ((), np.inf, "unknown")
