"""Sets from renditions that share one look: a sample answers wherever it can."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver import one_look
from setsolver.solver.ruleset import Ruleset

TOTAL = 3000


@pytest.mark.parametrize("able", [[0], [1777], [5, 2999]])
def test_who_alone_can_play_a_role_is_in_the_sample_where_strangers_may_play_it_too(able, monkeypatch):
    gain = np.ones((TOTAL, 2))
    gain[:, 1] = np.nan
    gain[able, 1] = 1.0
    problem = Problem.from_arrays({"size": 4, "gain": gain, "role_min": [1, len(able) + 1]})
    rules = Ruleset.of(problem)
    rules.strangers[1] = 1
    asked, solve = [], one_look._solve

    def counted(rules, items, *rest):
        asked.append(len(items))
        return solve(rules, items, *rest)

    monkeypatch.setattr(one_look, "_solve", counted)
    pairs = one_look.set_among(rules, np.arange(TOTAL), 0, None)
    close = [row for row, role in pairs if role == 1]
    assert set(able) <= set(close)
    assert len(close) == len(able) + 1
    assert len(asked) == 1
    assert asked[0] < TOTAL / 10


@pytest.mark.parametrize("others", [(), (2,)])
def test_one_window_of_each_axis_holds_all_that_is_in(others):
    """By hand: windows 0 to 1 hold the first frame, 2 to 3 the second, 1 to 2 the third: the first two share none."""
    rules = Ruleset.of(Problem.from_arrays({"size": 2, "gain": np.ones((3, 1))}))
    first, last = np.array([[0, 2, 1], [5, 5, 5]]), np.array([[1, 3, 2], [5, 5, 5]])
    for turn in (False, True):
        items = np.array([0, 1, *others])
        least, most = (3 - last, 3 - first) if turn else (first, last)
        if turn:
            least[1] = most[1] = 5
        found = one_look.set_among(rules, items, 0, None, (least[:, items], most[:, items]))
        assert {row for row, _ in found} in ([{0, 2}, {1, 2}] if others else [set()])


def test_a_second_axis_counts_as_much_as_the_first():
    rules = Ruleset.of(Problem.from_arrays({"size": 2, "gain": np.ones((2, 1))}))
    alike, apart = np.array([[0, 0]]), np.array([[1, 2]])
    for rows in ((alike, apart), (apart, alike)):
        ranks = np.vstack(rows)
        assert one_look.set_among(rules, np.arange(2), 0, None, (ranks, ranks)) == []
