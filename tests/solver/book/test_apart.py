"""Frames that cannot be in one book: circles of them, by hand and against every pair."""

from dataclasses import replace
from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from setsolver.solver.book.apart import broken_circles, mates_of
from tests.solver.book.events import event


def test_mates_are_twins_and_frames_of_a_moment():
    book = event(0)
    problem = replace(book.problem, conflict=np.array([[0, 5]]))
    label = np.array([[0, 0, 1, 2, 2, -1, -1, 3, 4]])
    mates = mates_of(replace(book, problem=problem, group=label, group_cap=np.array([1])))
    assert mates == {0: {1, 5}, 1: {0}, 2: set(), 3: {4}, 4: {3}, 5: {0}, 7: set(), 8: set()}
    assert mates_of(replace(book, problem=problem, group=label, group_cap=np.array([2]))) == {0: {5}, 5: {0}}


def test_three_that_are_all_apart_are_one_circle_though_no_pair_is_held_twice():
    mates = {0: {1, 2}, 1: {0, 2}, 2: {0, 1}, 3: set()}
    assert broken_circles(mates, np.array([0.5, 0.5, 0.5, 1.0])) == {(0, 1, 2)}
    assert broken_circles(mates, np.array([0.4, 0.3, 0.3, 1.0])) == set()
    assert broken_circles({0: {1}, 1: {0, 2}, 2: {1}}, np.array([0.5, 0.5, 0.5])) == set()


@given(st.integers(2, 9), st.randoms(use_true_random=False))
def test_every_pair_held_more_than_once_is_in_a_circle_of_mates(frames, random):
    mates = {one: set() for one in range(frames)}
    for a, b in combinations(range(frames), 2):
        if random.random() < 0.5:
            mates[a].add(b)
            mates[b].add(a)
    share = np.array([random.random() for _ in range(frames)])
    found = broken_circles(mates, share)
    for circle in found:
        assert all(b in mates[a] for a, b in combinations(circle, 2))
        assert share[list(circle)].sum() > 1
    for a in range(frames):
        for b in mates[a]:
            if share[a] + share[b] > 1 + 1e-5:
                assert any({a, b} <= set(circle) for circle in found)
