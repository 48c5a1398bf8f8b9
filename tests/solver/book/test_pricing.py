"""Where spreads come from: the lots of a book, and the best spread of each, against every spread that there is."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.book_rules import broken_book
from setsolver.solver.book import pricing
from setsolver.solver.book.pricing import Lot, Pricer, asks_close, asks_open
from setsolver.solver.book.solve import solve_book
from tests.solver.book.events import best_by_trying, event, every_spread

ENDS = {
    "nothing": {"opens": []},
    "kinds that open": {"opens": np.array([True, False, True])},
    "kinds that close": {"opens": [], "closes": np.array([False, True, True])},
    "every kind opens": {"opens": np.ones(3, dtype=bool), "closes": np.ones(3, dtype=bool)},
    "rows that open": {"opens": [], "leads": np.arange(9) % 2 == 0},
    "rows that close": {"opens": [], "ends": np.arange(9) % 3 > 0},
    "every row opens": {"opens": [], "leads": np.ones(9, dtype=bool), "ends": np.ones(9, dtype=bool)},
    "both": {
        "opens": np.array([True, False, True]),
        "leads": np.arange(9) < 5,
        "closes": np.array([False, True, True]),
    },
}


def asked(kinds, rows):
    """Whether some kind or some row may not stand at an end."""
    return not all(kinds) or not all(rows)


@pytest.mark.parametrize("changes", ENDS.values(), ids=list(ENDS))
def test_lots_are_kinds_in_windows_and_those_that_may_stand_at_an_end(changes):
    book = event(0, passages=4, **changes)
    kinds, lots, last = range(len(book.kinds)), [], book.chapters - 1
    for first in range(len(book.chapter)):
        for second in (first, first + 1):
            if second == len(book.chapter) or book.chapter[second] != book.chapter[first]:
                continue
            for kind in kinds:
                if second > first and book.kinds[kind].size == 1:
                    continue
                lots.append(Lot(first, second, kind))
                opens = len(book.opens) == 0 or book.opens[kind]
                closes = len(book.closes) == 0 or book.closes[kind]
                if asked(book.opens, book.leads) and book.chapter[first] == 0 and opens:
                    lots.append(Lot(first, second, kind, "open"))
                if asked(book.closes, book.ends) and book.chapter[first] == last and closes:
                    lots.append(Lot(first, second, kind, "close"))
    assert sorted(Pricer(book).lots()) == sorted(lots)
    assert asks_open(book) is asked(book.opens, book.leads)
    assert asks_close(book) is asked(book.closes, book.ends)


@pytest.mark.parametrize("changes", ENDS.values(), ids=list(ENDS))
def test_the_best_spread_of_a_lot_is_the_best_of_those_tried_once_tolls_are_paid(changes):
    book = event(3, **changes)
    every, pricer = every_spread(book), Pricer(book)
    toll = np.random.default_rng(1).normal(0, 15, pricer.frames)
    some = 0
    for lot in pricer.lots():
        may = {"any": lambda _: True, "open": book.may_open, "close": book.may_close}[lot.end]
        paid = {
            spread.frames: spread.score - toll[list(spread.frames)].sum()
            for spread in sorted(every, key=lambda one: one.score)
            if (spread.first, spread.last, spread.kind) == lot[:3] and may(spread)
        }
        offer = pricer.best(lot, toll)
        assert offer.done
        if not paid:
            assert (offer.spread, offer.bound) == (None, -np.inf)
            continue
        some += 1
        best = max(paid, key=paid.get)
        assert offer.spread.frames == best
        assert paid[best] - 1e-9 <= offer.bound <= paid[best] + 1e-6
        assert set(best) <= set(pricer.frames_of(lot).tolist())
        barred = pricer.best(lot, toll, barred=frozenset(best[:1]))
        without = max((points for frames, points in paid.items() if best[0] not in frames), default=None)
        assert (barred.spread is None) is (without is None)
        if without is not None:
            assert barred.bound == pytest.approx(without, abs=1e-6)
        apart = pricer.best(lot, toll, apart=[offer.spread])
        second = max((points for frames, points in paid.items() if frames != best), default=None)
        assert (apart.spread is None) is (second is None)
        if second is not None:
            assert apart.bound == pytest.approx(second, abs=1e-6)
        assert pricer.best(lot, toll, floor=paid[best] + 1.0).spread is None
    assert some > 5


@pytest.mark.parametrize("changes", ENDS.values(), ids=list(ENDS))
def test_the_best_book_is_that_of_all_tried_whoever_may_stand_at_its_ends(changes):
    for seed in (1, 4):
        book = event(seed, **changes)
        found, best = solve_book(book), best_by_trying(book)
        if best is None:
            assert (found.spreads, found.status) == ((), "infeasible")
        else:
            assert not broken_book(book, found.spreads)
            assert found.score == pytest.approx(best, abs=1e-4)


@pytest.mark.parametrize(("beyond", "told"), [(5.0, 5.0), (0.0, 0.0), (-1e-9, 0.0)])
def test_a_bound_that_is_open_is_handed_on_and_none_lies_below_what_was_found(monkeypatch, beyond, told):
    whole = pricing.search

    def left_open(*words, **options):
        found = whole(*words, **options)
        return replace(found, bound=found.choice.score + beyond, finished=beyond <= 0.0)

    book = event(3)
    lot = Pricer(book).lots()[0]
    sure = Pricer(book).best(lot, np.zeros(9))
    monkeypatch.setattr(pricing, "search", left_open)
    offer = Pricer(book).best(lot, np.zeros(9))
    assert (offer.spread, offer.done) == (sure.spread, beyond <= 0.0)
    assert offer.bound == pytest.approx(sure.spread.score + told, abs=1e-12)


@pytest.mark.parametrize("turned", [False, True])
def test_no_spread_holds_foes_whichever_of_them_is_named_first(turned):
    book = event(3, opens=[])
    every = [spread for spread in every_spread(book) if len(spread.rows) == 2]
    pairs = np.array([spread.frames for spread in sorted(every, key=lambda one: -one.score)[: len(every) // 2]])
    foes = replace(book, problem=replace(book.problem, conflict=pairs[:, ::-1] if turned else pairs))
    pricer, left = Pricer(foes), 0
    for lot in pricer.lots():
        found = pricer.best(lot, np.zeros(pricer.frames)).spread
        if found is not None and len(found.rows) == 2:
            left += 1
            assert not (np.sort(pairs, axis=1) == found.frames).all(axis=1).any()
    assert left


def test_frames_that_are_out_or_can_play_nothing_are_in_no_lot():
    book = event(0)
    gain = book.problem.gain.copy()
    gain[2] = np.nan
    pricer = Pricer(replace(book, problem=replace(book.problem, gain=gain, exclude=np.array([4]))))
    inside = {frame for lot in pricer.lots() for frame in pricer.frames_of(lot).tolist()}
    assert not inside & {2, 4}
    assert len(inside) > 4
