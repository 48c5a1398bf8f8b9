"""Pairs told again after some frames look otherwise are those told from nothing, whatever lies near the bar."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.twins import likeness_of
from setsolver.rules import twin_pairs
from setsolver.rules.twin_pairs import alike_pairs

CHANCE = 0.4


def unit(rows):
    return (rows / np.linalg.norm(rows, axis=1, keepdims=True)).astype(np.float32)


def pairs(signatures, chance=CHANCE):
    return np.concatenate([np.zeros((0, 2), np.int64), *alike_pairs(signatures, chance)]).tolist()


def plainly(signatures, chance=CHANCE):
    """Return the pairs by each product in double precision."""
    wide = signatures.astype(np.float64)
    return np.argwhere(np.triu(wide @ wide.T >= likeness_of(chance), 1)).tolist()


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.lists(st.sets(st.integers(0, 59), min_size=1, max_size=2), max_size=5))
def test_pairs_told_again_are_all_pairs(seed, changes):
    rng = np.random.default_rng(seed)
    centres = rng.normal(size=(6, 12))
    signatures = unit(centres[rng.integers(0, 6, 60)] + 0.4 * rng.normal(size=(60, 12)))
    assert pairs(signatures) == plainly(signatures)
    for changed in changes:
        signatures = signatures.copy()
        signatures[sorted(changed)] = unit(centres[:1] + 0.3 * rng.normal(size=(len(changed), 12)))
        assert pairs(signatures) == plainly(signatures)


@pytest.mark.parametrize("off", [-1e-6, 0.0, 1e-6])
def test_a_pair_at_the_bar_is_told_the_same_way_from_nothing_and_again(off):
    least = likeness_of(CHANCE) + off
    rest = unit(np.random.default_rng(1).normal(size=(30, 8)))
    rest[4] = [1, 0, 0, 0, 0, 0, 0, 0]
    rest[9] = [least, np.sqrt(1 - least**2), 0, 0, 0, 0, 0, 0]
    before = rest.copy()
    before[9] = [0, 0, 0, 1, 0, 0, 0, 0]
    pairs(before)
    again = pairs(rest)
    twin_pairs._recent.forget()
    assert pairs(rest) == again


def test_beyond_whole_catalogs_each_is_compared_with_so_many_after_it(monkeypatch):
    monkeypatch.setattr(twin_pairs, "BLOCK", 10)
    monkeypatch.setattr(twin_pairs, "WHOLE", 20)
    signatures = np.tile(unit(np.ones((1, 4))), (50, 1))
    far = 20 * 20 // 50
    fresh = pairs(signatures)
    assert all(b < a // 10 * 10 + 10 + far for a, b in fresh)
    other = signatures.copy()
    other[25] = [1, 0, 0, 0]
    assert pairs(other) == [pair for pair in fresh if 25 not in pair]
    assert pairs(signatures) == fresh
