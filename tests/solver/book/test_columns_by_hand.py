"""What is asked of which lot, and when it is enough: with offers made by hand in place of searches."""

from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import numpy as np
import pytest

from setsolver.domain.book import Spread
from setsolver.solver.book import columns as columns_module
from setsolver.solver.book.columns import LISTED_FOR, PRICED, TOLERANCE, Columns
from setsolver.solver.book.pricing import Lot, Offer
from setsolver.solver.book.timing import Timing
from tests.solver.book.events import event


class Asked:
    """A pricer put aside: two lots of one picture and one of two, with offers that are made beforehand."""

    frames = 6

    def __init__(self, offers=()):
        self.offers, self.asked = list(offers), []

    def lots(self):  # noqa: D102 - as of a pricer
        return [Lot(0, 0, 0), Lot(0, 0, 2), Lot(0, 1, 2)]

    def frames_of(self, lot):  # noqa: D102
        return np.array([0, 1, 2] if lot.last == 0 else [2, 3, 4, 5])

    def best(self, lot, toll, **options):  # noqa: D102
        self.asked.append((lot, toll, {**options, "apart": [*options.get("apart", ())]}))
        return self.offers.pop(0)


def spread(score, kind=0, first=0, last=0, frames=(0,)):
    return Spread(kind, frames, (0,) * len(frames), (), score, first, last, 0.0, 0, frames, full=True)


def with_offers(*offers, work=None, known=()):
    pricer = Asked(offers)
    return Columns(event(0), pricer, Timing(None, work=work), known), pricer


def duals(value=0.0, toll=None):
    paid = np.zeros(6) if toll is None else toll
    return SimpleNamespace(value=value, toll=paid, cost=lambda lot: 10.0 * (1 + lot.kind + lot.last))


def test_what_cannot_have_become_dear_enough_is_not_asked_again():
    """By hand: a bound of 30 holds, and what the two frames that became cheapest save at most: 4 and 3 of 4, 3, 1."""
    columns, pricer = with_offers(Offer(spread(20.0), 20.0, done=True), Offer(spread(30.0, 2), 30.0, done=True))
    with ThreadPoolExecutor(1) as threads:
        columns.first(threads)
        assert [lot for lot, *_ in pricer.asked] == [Lot(0, 0, 0), Lot(0, 0, 2)]
        cheaper = np.array([-4.0, -1.0, -3.0, 9.0, 9.0, 9.0])
        assert columns._still(Lot(0, 0, 0), cheaper) == 20.0 + 4.0
        assert columns._still(Lot(0, 0, 2), cheaper) == 30.0 + 4.0 + 3.0
        assert columns._still(Lot(0, 0, 2), -cheaper) == 30.0 + 0.0
        assert columns._still(Lot(0, 1, 2), cheaper) == np.inf
        pricer.offers += [Offer(None, 5.0, done=True), Offer(spread(47.0, 2, 0, 1, (2, 3)), 48.0, done=False)]
        bound, whole = columns.priced(threads, duals(100.0))
    asked = {lot: options["floor"] for lot, _, options in pricer.asked[2:]}
    assert asked == {Lot(0, 0, 0): 10.0 + TOLERANCE, Lot(0, 1, 2): 40.0 + TOLERANCE}  # 30 is what the other costs
    assert (bound, whole) == (100.0 + columns.book.spreads[1] * 8.0, True)
    assert [one.score for one in columns.pool] == [20.0, 30.0, 47.0]


def test_a_lot_without_any_spread_is_asked_once():
    columns, pricer = with_offers(*[Offer(None, -np.inf, done=True)] * 2)
    with ThreadPoolExecutor(1) as threads:
        columns.first(threads)
        pricer.offers.append(Offer(None, 0.0, done=True))
        assert columns.priced(threads, duals(7.0)) == (7.0, True)
    assert [lot for lot, *_ in pricer.asked[2:]] == [Lot(0, 1, 2)]
    assert columns.listed(duals(), 1e-9, []) == []  # nothing can be worth 40 where the bound is 0
    assert len(pricer.asked) == 3


def test_pricing_is_tired_once_it_has_done_the_work_that_it_may():
    offers = [Offer(None, 0.0, done=True, work=PRICED / 4), Offer(None, 0.0, done=True, work=PRICED / 4)]
    for work, tired in ((None, False), (1.0, False), (0.51, False), (0.5, True), (0.1, True)):
        columns, _ = with_offers(*offers, work=work)
        assert not columns.tired
        with ThreadPoolExecutor(1) as threads:
            columns.first(threads)
        assert columns.spent == PRICED / 2
        assert columns.tired is tired


def test_searches_of_a_lot_begin_with_the_best_known_of_it_the_newest_first():
    known = [spread(score, 2, 0, 0, (0, at)) for at, score in enumerate((3.0, 9.0, 5.0, 7.0), 1)]
    columns, pricer = with_offers(
        Offer(None, 0.0, done=True), Offer(spread(4.0, 2, frames=(1, 2)), 4.0, done=True), known=known
    )
    with ThreadPoolExecutor(1) as threads:
        columns.first(threads)
        starts = [[one.score for one in options["start"]] for _, _, options in pricer.asked]
        assert starts == [[], [9.0, 7.0, 5.0]]
        pricer.offers += [Offer(None, 0.0, done=True)] * 3
        columns.priced(threads, SimpleNamespace(value=0.0, toll=np.zeros(6) - 9, cost=lambda _: 0.0))
    starts = {lot: [one.score for one in options["start"]] for lot, _, options in pricer.asked[2:]}
    assert starts[Lot(0, 0, 2)] == [4.0, 9.0, 7.0]


@pytest.mark.parametrize(
    ("limits", "held", "listed"),
    [
        ({}, 0, 2),
        ({"MOST_COLUMNS": 3}, 1, 3),
        ({"MOST_COLUMNS": 2}, 1, None),
        ({"LISTED": 2}, 0, 2),
        ({"LISTED": 1}, 0, None),
    ],
)
def test_too_many_spreads_to_list_are_none(monkeypatch, limits, held, listed):
    for name, value in limits.items():
        monkeypatch.setattr(columns_module, name, value)
    nothing = Offer(None, 0.0, done=True)
    columns, pricer = with_offers(
        Offer(spread(30.0), 30.0, done=True), Offer(spread(29.0, frames=(1,)), 29.0, done=True), *[nothing] * 3
    )
    found = columns.listed(duals(), 5.0, [spread(1.0, frames=(5,))] * held)
    assert (None if found is None else len(found)) == listed
    floors = [options["floor"] for lot, _, options in pricer.asked if lot == Lot(0, 0, 0)]
    assert set(floors) == {10.0 - 5.0 - TOLERANCE}
    assert [len(options["apart"]) for lot, _, options in pricer.asked if lot.kind == 0][:2] == [0, 1]


def test_what_is_open_or_took_too_much_work_is_listed_by_nobody():
    columns, _ = with_offers(Offer(None, 50.0, done=False))
    assert columns.listed(duals(), 5.0, []) is None
    some = [Offer(spread(30.0), 30.0, done=True, work=LISTED_FOR / 2), Offer(None, 0.0, done=True, work=LISTED_FOR / 2)]
    for work, told in ((1.0, True), (0.4, False)):
        columns, _ = with_offers(*some, *[Offer(None, 0.0, done=True)] * 2, work=work)
        assert (columns.listed(duals(), 5.0, []) is not None) is told
