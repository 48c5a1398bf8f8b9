"""Which frames a client takes for one picture."""

from setsolver.domain.problem import Problem
from setsolver.usecases.alternates import likes_of, solve_with_alternates
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
