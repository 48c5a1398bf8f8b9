"""The use case behind ``setsolver solve``."""

from dataclasses import replace
from unittest.mock import ANY

import pytest

from setsolver.domain.solution import Solution
from setsolver.usecases.effort import Effort
from setsolver.usecases.solve import solve
from tests.solver.small import any_set, best_by_trying, small_problem
from tests.solver.test_conflict import dark_and_bright


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


def test_a_search_out_of_time_still_says_that_no_set_exists(monkeypatch):
    problem = dark_and_bright()
    monkeypatch.setattr(Effort, "solve", lambda *_, **__: Solution("unknown", 0.0))
    solution = solve(problem, Effort(time_limit=1e-3))
    assert solution.status == "infeasible"
    assert "tone_reach[0]" in {clash.rule for clash in solution.conflict}


def test_a_search_out_of_time_on_a_possible_problem_stays_unknown(monkeypatch):
    problem = dark_and_bright().replaced(tone_reach=[9.0])
    monkeypatch.setattr(Effort, "solve", lambda *_, **__: Solution("unknown", 0.0))
    assert solve(problem, Effort()) == replace(solve(problem, Effort()), status="unknown", conflict=(), seconds=ANY)
