"""Pairs become series at the same bar in whatever order they come."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog.series import Collected


def collected(pairs, most, parts=1):
    found = Collected(12, most)
    for part in np.array_split(np.array(pairs, np.int64).reshape(-1, 2), parts):
        found.add(*part[~found.settled(*part.T)].T)
    pairs = found.pairs()
    return list(zip(pairs.first, pairs.second, strict=True)), [frames.tolist() for frames in pairs.series]


def test_a_series_stands_for_more_pairs_than_the_bar():
    square = [(0, 1), (1, 2), (2, 3), (0, 3)]
    assert collected([*square, (5, 9)], 4) == (sorted([*square, (5, 9)]), [])
    assert collected([*square, (5, 9)], 3) == ([(5, 9)], [[0, 1, 2, 3]])


def test_a_pair_joins_a_frame_to_a_series_and_two_series_to_one():
    one, two = [(0, 1), (1, 2), (0, 2)], [(3, 4), (4, 5), (3, 5)]
    assert collected([*one, *two, (2, 8)], 2) == ([], [[0, 1, 2, 8], [3, 4, 5]])
    assert collected([*one, *two, (2, 3)], 2) == ([], [[0, 1, 2, 3, 4, 5]])


def test_nothing_at_all():
    assert collected([], 3) == ([], [])
    empty = Collected(0).pairs()
    assert (len(empty.first), empty.series) == (0, ())


def test_blocks_of_one_series_are_known():
    found = Collected(6, 1)
    found.add(np.array([0, 1, 0, 1, 0, 2]), np.array([1, 2, 2, 3, 3, 3]))
    assert found.whole(slice(0, 4)) == found.whole(slice(1, 3)) >= 0
    assert found.whole(slice(2, 6)) == -1
    assert found.among(np.arange(6)).tolist() == [True] * 4 + [False] * 2
    assert found.settled(np.array([0, 0, 4]), np.array([3, 4, 5])).tolist() == [True, False, False]


@settings(deadline=None)  # a loaded machine once took longer than the usual 200 ms
@given(
    st.lists(st.tuples(st.integers(0, 11), st.integers(0, 11)).filter(lambda pair: pair[0] < pair[1]), unique=True),
    st.integers(0, 6),
    st.integers(1, 9),
    st.randoms(),
)
def test_the_order_of_pairs_does_not_matter(pairs, most, parts, random):
    mixed = list(pairs)
    random.shuffle(mixed)
    assert collected(mixed, most, parts) == collected(pairs, most)
