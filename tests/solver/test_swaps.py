"""Swaps against plain enumeration of every newcomer."""

import numpy as np
import pytest

from setsolver.domain.validate import best_look, broken_rules, score_terms
from setsolver.solver import search
from setsolver.solver.swaps import gains, swaps
from tests.solver.small import small_problem


def by_trying(problem, choice, place):
    """Return the points that each frame would gain at the place, by its best rendition, the best first."""
    gains = {}
    for row in range(problem.renditions):
        chosen, roles = list(choice.chosen), choice.roles
        if problem.frame[row] == problem.frame[chosen[place]]:
            continue
        chosen[place] = row
        look = best_look(problem, chosen)
        if look is None or broken_rules(problem, chosen, roles, look):
            continue
        gained = score_terms(problem, chosen, roles, look).score - choice.score
        frame = int(problem.frame[row])
        gains[frame] = max(gained, gains.get(frame, -np.inf))
    return sorted(gains.values(), reverse=True)


@pytest.mark.parametrize("seed", range(60))
def test_what_each_frame_would_gain_is_the_best_of_its_swaps(seed):
    problem = small_problem(seed)
    best = search(problem).choice
    if best is None:
        return
    truth = {}
    for place in range(problem.size):
        for swap in swaps(problem, best, place, 100):
            frame = int(problem.frame[swap.row])
            truth[frame] = max(swap.points, truth.get(frame, -np.inf))
    frames, points = gains(problem, best)
    found = dict(zip(frames.tolist(), points.tolist(), strict=True))
    assert {frame: found[frame] for frame in truth} == pytest.approx(truth)
    assert set(truth) <= set(found)


@pytest.mark.parametrize("seed", range(120))
def test_every_newcomer_is_scored(seed):
    problem = small_problem(seed)
    best = search(problem).choice
    if best is None:
        return
    for place in range(problem.size):
        found, truth = swaps(problem, best, place, 100), by_trying(problem, best, place)
        assert [swap.points for swap in found] == pytest.approx(truth)
        assert [swap.points for swap in swaps(problem, best, place, 2)] == pytest.approx(truth[:2])
        for swap in found:
            assert not broken_rules(problem, swap.choice.chosen, swap.choice.roles, swap.choice.look)
            kept = set(best.chosen) - {best.chosen[place]}
            assert set(swap.choice.chosen) - kept == {swap.row}


def test_some_small_problems_have_swaps():
    problems = [small_problem(seed) for seed in range(40)]
    answered = [(p, search(p).choice) for p in problems]
    places = [(p, best, place) for p, best in answered if best for place in range(p.size)]
    assert sum(bool(swaps(*at)) for at in places) > 10


def test_nobody_gains_at_the_best_set_without_changing_more():
    for seed in range(30):
        problem = small_problem(seed)
        best = search(problem).choice
        if best:
            assert all(s.points <= 1e-9 for place in range(problem.size) for s in swaps(problem, best, place))


def test_a_place_that_is_not_there_is_refused():
    problem = small_problem(1)
    best = search(problem).choice
    with pytest.raises(ValueError, match="places 0 to"):
        swaps(problem, best, problem.size)
