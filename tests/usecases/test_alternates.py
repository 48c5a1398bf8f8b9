"""Which frames a client takes for one picture, and sets that are asked for one by one."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.usecases.alternates import Begun, kinds_of, likes_of, solve_with_alternates
from setsolver.usecases.effort import Effort
from tests.rules.builders import make_frame, make_snapshot


def test_frames_of_a_moment_and_near_duplicates_are_likes():
    frames = [make_frame(n, moment=moment) for n, moment in enumerate([0, 0, 1, -1, -1, 2])]
    likes = likes_of(make_snapshot(*frames, pairs=((0, 1), (1, 2), (3, 4))))
    assert likes == {0: {0, 1}, 1: {0, 1, 2}, 2: {1, 2}, 3: {3, 4}, 4: {3, 4}}


def test_a_moment_is_one_set():
    likes = likes_of(make_snapshot(*(make_frame(n, moment=7) for n in range(50)), pairs=((0, 1), (3, 40))))
    assert len({id(mates) for mates in likes.values()}) == 1


def test_where_a_kind_has_no_set_the_runner_up_is_offered():
    problem = Problem.from_arrays({"size": 1, "gain": [[3.0], [2.0], [1.0]]})  # no tones: there is no other look
    found = solve_with_alternates(problem, Effort(workers=1), ("look", "differs"), 1)
    assert [choice.chosen for choice in found.solutions] == [(0,), (1,), (2,)]


@pytest.mark.parametrize("seed", range(4))
def test_one_by_one_they_are_those_that_are_found_at_once(seed):
    rng = np.random.default_rng(seed)
    problem = Problem.from_arrays(
        {
            "size": 3,
            "frame": np.arange(14) // 2,
            "gain": rng.uniform(0, 50, (14, 2)),
            "tone": rng.uniform(0, 40, (14, 2)),
            "tone_weight": [0.4, 0.2],
            "tone_slack": [3, 3],
            "tone_reach": [25, 25],
        }
    )
    whole = solve_with_alternates(problem, Effort(workers=1), kinds_of(4), 2)
    known = solve_with_alternates(problem, Effort(workers=1), (), 2)
    for count in range(1, 5):
        known = solve_with_alternates(problem, Effort(workers=1), kinds_of(count), 2, begun=Begun(known, count - 1))
        assert all(one.proven for one in known.solutions)
    assert len(known.solutions) > 2
    assert known.solutions == whole.solutions
    assert known.nodes == whole.nodes


def test_a_kind_that_had_no_set_is_not_asked_again():
    problem = Problem.from_arrays({"size": 1, "gain": [[2.0], [1.0]]})
    one = solve_with_alternates(problem, Effort(workers=1), ("look",), 1)
    two = solve_with_alternates(problem, Effort(workers=1), ("look", "differs"), 1, begun=Begun(one, 1))
    assert [choice.chosen for choice in one.solutions] == [choice.chosen for choice in two.solutions] == [(0,), (1,)]
