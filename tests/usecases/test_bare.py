"""Best set, alternates and prices of a bare problem."""

import json

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.errors import BadInput
from setsolver.usecases.bare import answer
from setsolver.usecases.effort import Effort
from tests.solver.test_conflict import dark_and_bright

PAIRS = Problem.from_arrays({"size": 2, "gain": np.arange(6.0)[:, None], "conflict": [[4, 5]]})


def chosen(found):
    return [choice.chosen for choice in found.solution.solutions]


def test_alternates_differ_and_a_missing_one_is_noted():
    found = answer(PAIRS.replaced(conflict=np.zeros((0, 2))), Effort(), kinds=("differs",) * 3, differ=2)
    assert chosen(found) == [(4, 5), (2, 3), (0, 1)]
    assert [choice.kind for choice in found.solution.solutions] == ["best", "differs", "differs"]
    assert found.solution.notes[0].startswith("1 of 3 further sets are not there")


def test_prices_are_in_the_document_only_where_asked():
    plain = answer(PAIRS, Effort())
    assert "prices" not in plain.to_json()
    document = json.loads(json.dumps(answer(PAIRS, Effort(), prices=True).to_json(), allow_nan=False))
    (price,) = document["prices"]
    assert (price["about"], price["points"], price["proven"]) == ("conflict", pytest.approx(1), True)
    assert price["set"]["chosen"] == [4, 5]


def test_without_a_set_there_are_no_prices():
    found = answer(dark_and_bright(), Effort(), kinds=("lead",), prices=True)
    assert (found.solution.status, found.prices) == ("infeasible", ())
    assert found.solution.conflict


def test_differ_beyond_the_size_is_refused():
    with pytest.raises(BadInput, match="differ: 3, but sets of 2"):
        answer(PAIRS, Effort(), differ=3)
