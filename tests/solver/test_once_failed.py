"""Every problem that once failed, asked every question again, against plain enumeration."""

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from setsolver.solver import alternates, conflict, price
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Ruleset
from setsolver.solver.search import search
from setsolver.usecases.problem_file import load
from tests.solver.small import all_sets, best_by_trying
from tests.solver.test_alternates import apart

FILES = sorted((Path(__file__).parents[1] / "data" / "once_failed").glob("*.npz"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_question_again(path):
    problem = load(path)
    truth = best_by_trying(problem)
    assert possible(Ruleset.of(problem)).answer is (truth > -np.inf)
    clashes = conflict.find(problem)
    assert (clashes == ()) is (truth > -np.inf)
    best = search(problem).choice
    if truth == -np.inf:
        assert best is None
        return
    assert best.score == pytest.approx(truth, abs=1e-6)
    sets = [best, *(a.found.choice for a in alternates.find(problem, best, ("differs",) * 5) if a.found.choice)]
    different = {frozenset(problem.frame[list(chosen)]) for chosen, _ in all_sets(problem)}
    assert len(sets) == min(6, len(different))
    assert all(apart(problem, a.chosen, b.chosen) >= 1 for a, b in combinations(sets, 2))
    for rule in price.priced_rules(problem):
        assert price.of_rule(problem, best, rule).proven


def test_there_are_files():
    assert len(FILES) >= 3
