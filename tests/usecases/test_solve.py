"""The use case behind ``setsolver solve``."""

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.effort import Effort
from setsolver.usecases.solve import solve
from tests.solver.small import any_set, best_by_trying, small_problem


@pytest.mark.parametrize("seed", range(30))
def test_best_set_or_clash_as_plain_enumeration_says(seed):
    problem = small_problem(seed, most=8, tight=0.7)
    solution = solve(problem, Effort(time_limit=None))
    assert (solution.status == "optimal") is any_set(problem)
    if solution.best:
        assert solution.best.score == pytest.approx(best_by_trying(problem))
        assert solution.conflict == ()
    else:
        assert solution.status == "infeasible"
        assert solution.conflict


def test_differ_beyond_the_size_is_refused():
    with pytest.raises(BadInput, match="differ: 7, but sets of"):
        solve(small_problem(3), Effort(), differ=7)
