"""Frames that every set holds, against plain enumeration."""

import numpy as np
import pytest

from setsolver.solver import search
from setsolver.solver.forced import forced_frames
from setsolver.solver.restriction import Restriction
from tests.solver.small import all_sets, any_set, best_by_trying, small_problem


@pytest.mark.parametrize("seed", range(120))
def test_every_set_holds_the_forced_frames(seed):
    problem = small_problem(seed)
    forced = set(forced_frames(problem, Restriction()).tolist())
    assert set(problem.include.tolist()) <= forced
    for chosen, _ in all_sets(problem):
        assert forced <= set(problem.frame[list(chosen)].tolist())


def scarce(seed):
    """Return a problem whose last role only two frames can play, both wanted."""
    problem = small_problem(seed, most=8)
    gain = np.array(problem.gain)
    rows = np.random.default_rng(seed).permutation(problem.renditions)
    few = np.unique(problem.frame[rows])[:2]
    gain[~np.isin(problem.frame, few), -1] = np.nan
    gain[np.isin(problem.frame, few), -1] = 3.0
    least = np.zeros(len(problem.role_min), dtype=np.int64)
    least[-1] = min(2, problem.size)
    return problem.replaced(gain=gain, role_min=least, role_max=np.full(len(least), problem.size)), few


@pytest.mark.parametrize("seed", range(60))
def test_a_scarce_role_forces_its_frames_and_the_best_set_stays(seed):
    problem, few = scarce(seed)
    if problem.size >= 2 and any_set(problem):
        assert set(few.tolist()) <= set(forced_frames(problem, Restriction()).tolist())
    found, best = search(problem), best_by_trying(problem)
    assert found.finished
    assert (found.choice.score if found.choice else -np.inf) == pytest.approx(best)


def test_a_barred_frame_is_forced_by_nobody():
    problem, few = next((p, f) for p, f in map(scarce, range(60)) if p.size >= 2 and not len(p.exclude))
    question = Restriction(barred=frozenset(few[:1].tolist()))
    assert few[0] not in forced_frames(problem, question)
    assert search(problem, restriction=question).choice is None
