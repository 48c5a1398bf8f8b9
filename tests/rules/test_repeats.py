"""Moment cap, scene cap and near-duplicates, each alone."""

from setsolver.rules import assemble
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot


def assembled(frames, pairs=(), size=2, series=(), **repeats):
    return assemble(make_snapshot(*frames, pairs=pairs, series=series), make_brief(size=size, repeats=repeats))


def test_moment_trivial_frames_of_different_moments():
    assert len(paths_of(assembled([make_frame(i) for i in range(3)]))) == 3


def test_moment_feasible_one_of_each():
    frames = [make_frame(0, moment=4), make_frame(1, moment=4), make_frame(2, moment=5)]
    sets = paths_of(assembled(frames))
    assert frozenset({"frame-0000.jpg", "frame-0001.jpg"}) not in sets
    assert len(sets) == 2
    assert len(paths_of(assembled(frames, moment=2))) == 3


def test_moment_infeasible_all_of_one():
    assert paths_of(assembled([make_frame(i, moment=4) for i in range(3)])) == set()


def test_frames_without_a_moment_are_not_capped():
    assert len(paths_of(assembled([make_frame(i, moment=-1, scene=-1) for i in range(3)], scene=1))) == 3


def test_scene_trivial_no_cap_no_rule():
    frames = [make_frame(i, scene=1) for i in range(3)]
    assembly = assembled(frames)
    assert len(assembly.problem.group_cap) == 1
    assert len(paths_of(assembly)) == 3


def test_scene_feasible_at_most_as_many():
    frames = [make_frame(0, scene=1), make_frame(1, scene=1), make_frame(2, scene=2)]
    assembly = assembled(frames, scene=1)
    assert len(paths_of(assembly)) == 2
    assert assembly.says("group_cap[1]") == "at most 1 frame of one scene"


def test_scene_infeasible_too_few_scenes():
    assert paths_of(assembled([make_frame(i, scene=1) for i in range(4)], size=3, scene=2)) == set()


def test_pairs_trivial_none():
    assert assembled([make_frame(0), make_frame(1)]).problem.conflict.shape == (0, 2)


def test_pairs_feasible_never_both():
    frames = [make_frame(i) for i in range(3)]
    assembly = assembled(frames, pairs=((0, 2),))
    assert frozenset({"frame-0000.jpg", "frame-0002.jpg"}) not in paths_of(assembly)
    assert assembly.says("conflict[0]") == "frame-0000.jpg and frame-0002.jpg are one picture to a viewer"


def test_pairs_infeasible_all_alike():
    assert paths_of(assembled([make_frame(i) for i in range(3)], pairs=((0, 1), (0, 2), (1, 2)))) == set()


def test_pairs_inside_a_moment_are_left_to_the_cap_of_one():
    frames = [make_frame(0, moment=4), make_frame(1, moment=4), make_frame(2)]
    assert len(assembled(frames, pairs=((0, 1),)).problem.conflict) == 0
    assert len(assembled(frames, pairs=((0, 1),), moment=2).problem.conflict) == 1


def test_pairs_with_a_frame_that_is_out_are_dropped():
    frames = [make_frame(0), make_frame(1, size=(300, 200)), make_frame(2)]
    assert len(assembled(frames, pairs=((0, 1),)).problem.conflict) == 0


def test_series_feasible_one_of_each():
    frames = [make_frame(i, moment=4) for i in range(4)] + [make_frame(4)]
    assembly = assembled(frames, series=((0, 2, 3),), moment=2)
    outside = {frozenset({f"frame-000{a}.jpg", f"frame-000{b}.jpg"}) for a, b in ((0, 2), (0, 3), (2, 3))}
    assert len(paths_of(assembly)) == 10 - len(outside)
    assert not outside & paths_of(assembly)
    assert assembly.says("group_cap[1]").endswith("at most 1 frame of one series")


def test_series_infeasible_all_of_one():
    frames = [make_frame(i, moment=4) for i in range(3)]
    assert paths_of(assembled(frames, series=((0, 1, 2),), moment=2)) == set()


def test_series_inside_a_moment_are_left_to_the_cap_of_one():
    frames = [make_frame(0, moment=4), make_frame(1, moment=4), make_frame(2)]
    assert len(assembled(frames, series=((0, 1),)).problem.group_cap) == 1
