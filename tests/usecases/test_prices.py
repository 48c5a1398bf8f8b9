"""What rules cost, in words that claim no more than is known, the dearest first."""

import pytest

from setsolver.solver.price import Price, Rule
from setsolver.usecases import prices
from setsolver.usecases.effort import Effort
from setsolver.usecases.prices import _gained, rule_prices


def priced(points, *, proven=True):
    return Price("size", points, 0.0, points or 0.0, proven)


@pytest.mark.parametrize(
    ("price", "says"),
    [
        (priced(3.14), "3.1 points"),
        (priced(0.0), "nothing"),
        (priced(0.0, proven=False), "at least 0.0 points"),
        (priced(3.14, proven=False), "at least 3.1 points"),
        (priced(None), "an unknown number of points"),
    ],
)
def test_a_gain_is_said_as_far_as_it_is_known(price, says):
    assert _gained(price) == says


def test_the_dearest_rule_comes_first_and_each_has_its_share_of_the_time(monkeypatch):
    costs, deadlines = {0: 1.0, 1: 5.0, 2: 3.0}, []

    def asked(_problem, _best, rule, *, deadline, **_):
        deadlines.append(deadline)
        return Price(str(rule), costs[rule.at], 0.0, 9.0, proven=True)

    monkeypatch.setattr(prices.price, "priced_rules", lambda _: [Rule("role_min", at) for at in range(3)])
    monkeypatch.setattr(prices.price, "of_rule", asked)
    monkeypatch.setattr(prices, "names_of", lambda _: {})
    monkeypatch.setattr(prices, "rule_said", lambda _, about, __: about)
    monkeypatch.setattr(prices.time, "perf_counter", lambda: 100.0)

    class Assembled:
        problem = None

    found = rule_prices(Assembled(), None, Effort(time_limit=12.0))
    assert [one.points for one in found] == [5.0, 3.0, 1.0]
    assert found[0].says == 'without the rule "role_min[1]" the best set would gain 5.0 points'
    assert deadlines == pytest.approx([104.0, 106.0, 112.0])  # nothing was used, so each leaves more to the next
