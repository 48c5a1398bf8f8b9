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
