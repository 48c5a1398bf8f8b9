"""Twins: pairs that a viewer would call repeats are never both in, unless the brief lets them."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.twins import TWINS, likeness_of
from setsolver.rules import assemble, twin_pairs, twins
from tests.domain.plain import twin_chance
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot

ALIKE = 0.8


def told(*frames, alike=()):
    """Return a snapshot whose frames are strangers but for the pairs in ``alike``, whose likeness is ``ALIKE``."""
    signatures = np.eye(len(frames), len(frames), dtype=np.float32)
    for a, b in alike:
        signatures[b] = ALIKE * signatures[a]
        signatures[b, b] = np.sqrt(1 - ALIKE**2)
    snapshot = make_snapshot(*frames)
    return replace(snapshot, signatures=lambda: (np.arange(len(frames)), signatures))


def names(*numbers):
    return frozenset(f"frame-{number:04d}.jpg" for number in numbers)


def test_trivial_strangers_are_no_twins():
    assert paths_of(assemble(told(make_frame(0), make_frame(1)), make_brief(size=2))) == {names(0, 1)}


def test_trivial_where_nobody_can_tell_there_are_none():
    assert list(twins.twins_of(make_snapshot(make_frame(0), make_frame(1)), 0.05)) == []


def test_feasible_one_of_two_twins_is_in():
    assembly = assemble(told(*map(make_frame, range(4)), alike=[(0, 1)]), make_brief(size=2))
    assert paths_of(assembly) == {names(0, 2), names(1, 2), names(0, 3), names(1, 3), names(2, 3)}
    assert "frame-0000.jpg and frame-0001.jpg are repeats" in assembly.says("conflict[0]")


def test_infeasible_only_where_the_frames_that_are_no_twins_cannot_play():
    snapshot = told(*map(make_frame, range(4)), alike=[(0, 1)])
    brief = {"frames": {"include": ["frame-0000.jpg", "frame-0001.jpg"]}}
    assert paths_of(assemble(snapshot, make_brief(size=2, **brief))) == set()
    assert paths_of(assemble(snapshot, make_brief(size=2, repeats={"twins": 1}, **brief))) == {names(0, 1)}


def test_where_twins_are_all_there_is_the_rule_gives_way():
    snapshot = told(make_frame(0), make_frame(1), alike=[(0, 1)])
    assert paths_of(assemble(snapshot, make_brief(size=2))) == {names(0, 1)}


def test_frames_apart_are_counted_greedily():
    def apart(ids, pairs, most=9):
        return twins.apart(np.array(ids), [np.array(pairs).reshape(-1, 2)], most)

    assert apart(range(4), [(0, 1), (1, 2), (2, 3)]) == 2
    assert apart(range(3), np.zeros((0, 2), np.int64)) == 3
    assert apart(range(3), [(0, 1), (0, 2), (1, 2), (0, 9)]) == 1
    assert apart([2, 5, 8], [(2, 5), (0, 8)]) == 2
    assert apart(range(40), np.zeros((0, 2), np.int64)) == apart(range(40), [(2 * at, 2 * at + 1) for at in range(20)])


def test_the_briefs_chance_decides():
    chance = float(twin_chance(ALIKE))
    snapshot = told(make_frame(0), make_frame(1), alike=[(0, 1)])
    assert list(twins.twins_of(snapshot, chance - 0.01)) == [(0, 1)]
    assert list(twins.twins_of(snapshot, chance + 0.01)) == []


def test_chance_and_likeness_are_each_others_inverse():
    assert likeness_of(0.5) == pytest.approx(TWINS)
    assert [float(twin_chance(likeness_of(chance))) for chance in (0.05, 0.45, 0.9)] == pytest.approx([0.05, 0.45, 0.9])


def test_a_pair_is_told_once():
    """Pairs of one moment are the moment's matter, and near-duplicates are told as such."""
    same = [make_frame(0, moment=7), make_frame(1, moment=7), make_frame(2)]
    assembly = assemble(told(*same, alike=[(0, 1)]), make_brief(size=1))
    assert len(assembly.problem.conflict) == 0
    snapshot = replace(told(*map(make_frame, range(3)), alike=[(0, 1), (0, 2)]), pairs=((0, 1),))
    assembly = assemble(snapshot, make_brief(size=1))
    assert assembly.problem.conflict.tolist() == [[0, 1], [0, 2]]
    assert "one picture" in assembly.says("conflict[0]")
    assert "repeats" in assembly.says("conflict[1]")


def test_many_frames_are_compared_with_those_near_them(monkeypatch):
    monkeypatch.setattr(twin_pairs, "WHOLE", 4)
    monkeypatch.setattr(twin_pairs, "BLOCK", 2)
    snapshot = told(*map(make_frame, range(8)), alike=[(0, 1), (2, 7)])
    assert list(twins.twins_of(snapshot, 0.4)) == [(0, 1)]
