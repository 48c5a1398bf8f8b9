"""Which frames a client takes for one picture."""

from setsolver.usecases.alternates import likes_of
from tests.rules.builders import make_frame, make_snapshot


def test_frames_of_a_moment_and_near_duplicates_are_likes():
    frames = [make_frame(n, moment=moment) for n, moment in enumerate([0, 0, 1, -1, -1, 2])]
    likes = likes_of(make_snapshot(*frames, pairs=((0, 1), (1, 2), (3, 4))))
    assert likes == {0: {0, 1}, 1: {0, 1, 2}, 2: {1, 2}, 3: {3, 4}, 4: {3, 4}}


def test_a_moment_is_one_set():
    likes = likes_of(make_snapshot(*(make_frame(n, moment=7) for n in range(50)), pairs=((0, 1), (3, 40))))
    assert len({id(mates) for mates in likes.values()}) == 1
