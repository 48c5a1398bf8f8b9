"""Near pairs against brute force."""

import signal
from concurrent.futures import Future
from contextlib import contextmanager

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog import neighbours, short_codes
from setsolver.catalog.neighbours import near_pairs, near_pairs_again
from setsolver.catalog.series import connected


def mixtures(count, dimensions, seed=0, alike=0.2):
    """Return unit vectors with structure: mixtures of a few themes, some of them near copies of others."""
    rng = np.random.default_rng(seed)
    themes = rng.normal(size=(40, dimensions))
    vectors = rng.dirichlet(np.full(40, 0.1), count) @ themes + 0.5 * rng.normal(size=(count, dimensions))
    copies = int(count * alike)
    vectors[:copies] = vectors[copies : 2 * copies] + rng.uniform(0, 0.5, (copies, 1)) * rng.normal(
        size=(copies, dimensions)
    )
    vectors /= np.linalg.norm(vectors, axis=1, keepdims=True)
    return vectors.astype(np.float32)


def brute(vectors, radius):
    exact = vectors.astype(np.float64)
    squares = np.maximum(2 - 2 * (exact @ exact.T), 0)
    first, second = np.nonzero(np.triu(squares <= radius * radius, 1))
    return set(zip(first.tolist(), second.tolist(), strict=True))


def as_set(pairs):
    return set(zip(pairs.first.tolist(), pairs.second.tolist(), strict=True))


@pytest.mark.slow
def test_equal_to_brute_force_on_5000():
    vectors = mixtures(5000, 400)
    found = near_pairs(vectors, 0.6)
    assert as_set(found) == brute(vectors, 0.6)
    assert len(found.first) > 500


def test_ctrl_c_strikes_beside_the_pool_not_within_it(monkeypatch):
    result = Future.result

    def struck(self, timeout=None):
        signal.raise_signal(signal.SIGINT)
        return result(self, timeout)

    monkeypatch.setattr(Future, "result", struck)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    with small_blocks(8), pytest.raises(KeyboardInterrupt) as stopped:
        near_pairs(mixtures(60, 100), 0.6)
    signal.signal(signal.SIGINT, before)
    assert not [entry.path for entry in stopped.traceback if "futures" in str(entry.path)]


@contextmanager
def small_blocks(block):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(neighbours, "_FEW", 20)
        patch.setattr(neighbours, "_BLOCK", block)
        for name, value in (("_AXES", 8), ("_STEP", 3), ("_BLOCK", block), ("_CHUNK", 7)):
            patch.setattr(short_codes, name, value)
        yield


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 150), st.integers(1, 40), st.floats(0.05, 2.0), st.integers(0, 5), st.sampled_from([4, 16, 64]))
def test_equal_to_brute_force_whatever_the_blocks(count, dimensions, radius, seed, block):
    vectors = mixtures(count, dimensions, seed) if count else np.zeros((0, dimensions), np.float32)
    with small_blocks(block):
        found = near_pairs(vectors, radius)
    near_the_limit = brute(vectors, radius + 1e-4) - brute(vectors, radius - 1e-4)
    assert as_set(found) ^ brute(vectors, radius) <= near_the_limit
    assert found.series == ()


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 120), st.floats(0.1, 1.5), st.integers(0, 5), st.sampled_from([4, 16, 64]), st.integers(0, 60))
def test_frames_linked_by_many_pairs_are_a_series(count, radius, seed, block, most):
    vectors = mixtures(count, 12, seed) if count else np.zeros((0, 12), np.float32)
    with small_blocks(block):
        every, found = near_pairs(vectors, radius), near_pairs(vectors, radius, most=most)
    label = connected(count, every.first, every.second)
    pairs = np.bincount(label[every.first], minlength=count)
    assert {tuple(part.tolist()) for part in found.series} == {
        tuple(np.flatnonzero(label == large).tolist()) for large in np.flatnonzero(pairs > most)
    }
    assert as_set(found) == {pair for pair in as_set(every) if pairs[label[pair[0]]] <= most}
    assert np.array_equal(connected(count, *found.links()), label)


@settings(deadline=None, max_examples=60)
@given(
    st.integers(1, 120),
    st.floats(0.1, 1.5),
    st.integers(0, 5),
    st.lists(st.sets(st.integers(0, 119), min_size=1, max_size=4), min_size=1, max_size=4),
    st.sampled_from([5, 40, 100_000]),
)
def test_after_some_vectors_change_pairs_are_those_found_from_nothing(count, radius, seed, changes, most):
    vectors = mixtures(count, 12, seed)
    known = near_pairs(vectors, radius, most=most)
    for number, changed in enumerate(changes):
        rows = np.array(sorted(one for one in changed if one < count), dtype=np.int64)
        vectors = vectors.copy()
        vectors[rows] = mixtures(count, 12, seed + number)[::-1][rows]
        known = near_pairs_again(known, vectors, radius, rows, most=most)
        fresh = near_pairs(vectors, radius, most=most)
        np.testing.assert_array_equal(known.first, fresh.first)
        np.testing.assert_array_equal(known.second, fresh.second)
        assert [one.tolist() for one in known.series] == [one.tolist() for one in fresh.series]


def test_vectors_are_asked_for_a_few_at_a_time():
    vectors = mixtures(4000, 30)
    asked = []

    class Told:
        def __len__(self):
            return len(vectors)

        def __getitem__(self, rows):
            asked.append(len(rows))
            return vectors[rows]

    with small_blocks(256):
        assert as_set(near_pairs(Told(), 0.3)) == as_set(near_pairs(vectors, 0.3))
    assert max(asked[1:]) <= 2048  # the first are the sample that tells the axes


def test_pairs_are_ordered():
    found = near_pairs(mixtures(200, 30), 0.7)
    assert (found.first < found.second).all()
    assert list(zip(found.first, found.second, strict=True)) == sorted(zip(found.first, found.second, strict=True))


def test_progress_reaches_the_end():
    told = []
    near_pairs(mixtures(100, 10), 0.1, lambda done, total: told.append((done, total)))
    assert told[-1] == (100, 100)


def test_pairs_just_at_the_radius_are_found_whatever_products_round_to():
    vectors = mixtures(300, 64, seed=3)
    apart = vectors[:150] - vectors[150:]
    for number, radius in enumerate(np.sqrt(np.einsum("ij,ij->i", apart, apart)).tolist()):
        pair = vectors[[number, 150 + number]]
        assert as_set(near_pairs(pair, radius)) == {(0, 1)}, radius


def test_of_very_many_frames_of_one_view_few_pairs_are_measured(monkeypatch):
    """2,000 alike are two million pairs; once some of them are a series, a few rows lead the others into it."""
    rng = np.random.default_rng(0)
    vectors = np.ones((2000, 24)) + 0.02 * rng.normal(size=(2000, 24))
    vectors[::400] = rng.normal(size=(5, 24))  # and five that are none of them
    vectors = (vectors / np.linalg.norm(vectors, axis=1, keepdims=True)).astype(np.float32)
    measured = []
    within = neighbours._within
    monkeypatch.setattr(neighbours, "_within", lambda *given: measured.append(len(given[1])) or within(*given))
    monkeypatch.setattr(neighbours, "_MANY", 512)
    with small_blocks(128):
        found = near_pairs(vectors, 0.5, most=1000)
    assert [len(frames) for frames in found.series] == [1995]
    assert not len(found.first)
    assert sum(measured) < 25_000  # 67,511 where each block is measured up to some times the bar
