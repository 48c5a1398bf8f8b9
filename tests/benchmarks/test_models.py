"""The models that setsolver is compared with are right: on small problems they reach the proven best set."""

import importlib
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from setsolver.domain.validate import broken_rules
from setsolver.solver import search
from tests.solver.small import all_sets, best_by_trying, scored, small_problem

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def bench():
    """The benchmark scripts, imported as they import one another."""
    sys.path.insert(0, str(ROOT / "benchmarks"))
    names = ("compare_direct", "direct_cpsat", "direct_highs", "generate", "heuristics")
    yield {name: importlib.import_module(name) for name in names}
    sys.path.remove(str(ROOT / "benchmarks"))


def squared(seed):
    """Return a small feasible problem with squared variety and finite reach, as the direct models want it."""
    problem = replace(small_problem(seed), variety_kind="squared")
    best = best_by_trying(problem)
    return (problem, best) if best > -np.inf and problem.size > 1 else None


CASES = [case for seed in range(40) if (case := squared(seed))][:8]


@pytest.mark.parametrize("variety", ["pairs", "moments"])
@pytest.mark.parametrize("number", range(len(CASES)))
def test_cpsat_reaches_the_best_set_up_to_its_rounding(bench, number, variety):
    problem, best = CASES[number]
    run = bench["direct_cpsat"].solve(problem, limit=30, workers=1, variety=variety)
    assert run.done
    rounding = 0.05 + 0.02 * problem.size  # thousandths of points and of places, hundredths of tone units
    assert run.last.score == pytest.approx(best, abs=rounding)
    assert run.last.bound >= best - rounding


@pytest.mark.parametrize("number", range(len(CASES)))
def test_highs_reaches_the_best_set_and_its_bound_holds(bench, number):
    problem, best = CASES[number]
    run = bench["direct_highs"].solve(problem, limit=30)
    assert run.done
    assert run.last.score == pytest.approx(best, rel=1e-4, abs=1e-3)
    assert run.last.bound >= best - 1e-6


@pytest.mark.parametrize("seed", range(25))
def test_an_added_rendition_is_worth_the_score_of_the_set(bench, seed):
    heuristics, problem = bench["heuristics"], small_problem(seed)
    for chosen, roles in list(all_sets(problem))[:3]:
        part = heuristics.Members(list(chosen[:-1]), list(roles[:-1]))
        worth = heuristics.additions(problem, part)
        assert worth[chosen[-1], roles[-1]] == pytest.approx(scored(problem, chosen, roles))


def test_greedy_sets_are_valid_and_never_above_the_proven_best(bench):
    heuristics, reached = bench["heuristics"], 0
    for seed in range(6):
        problem = bench["generate"].problem(150, 5, seed)
        best = search(problem).choice
        first = heuristics.greedy(problem)
        if first is None:  # a dead end: rules kept one by one need not be kept by all
            continue
        reached += 1
        better = heuristics.swapped(problem, first)
        scores = [heuristics.score(problem, found) for found in (first, better)]
        assert scores[0] <= scores[1] <= best.score + 1e-6
        for found in (first, better):
            look = heuristics.best_look(problem, found.chosen)
            assert broken_rules(problem, found.chosen, found.roles, look) == []
    assert reached >= 3


def test_a_row_of_the_comparison_reads_the_trace(bench):
    module = bench["compare_direct"]
    problem = bench["generate"].problem(60, 3, 0)
    mine = module.ours(problem, 30)
    theirs = module.Run(mine.last._replace(seconds=1e3, cpu=1e3, bound=mine.last.score * 2), [], False)
    cells = module.row("model", "case", theirs, mine).split("|")
    assert mine.done
    assert cells[6].strip() == "100.00%"
    assert float(cells[10].strip().replace(",", "")) >= 1e3 / max(1e-3, mine.last.cpu) * 0.99
