"""Moments, scenes and chapters of shoots whose story is known."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog import grouping
from setsolver.catalog.grouping import Habits, Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.scenes import Look

SAME = 0.5


class Seen:
    """What scenes are told by: a quick scan's looks, as the vectors say; all of one colour."""

    def __init__(self, vectors):
        self._vectors = vectors

    def __getitem__(self, rows):
        count = len(rows)
        parts = self._vectors[rows], np.zeros((count, 4), np.float32)
        return Look(parts, np.zeros((count, 4), np.float32), np.zeros(count, np.bool_))


def sighting(themes, instants, cameras=None, folders=None, spread=0.0, seed=0):
    """Return frames whose theme is a number; themes are at right angles, frames of one theme ``spread`` apart."""
    rng = np.random.default_rng(seed)
    vectors = np.eye(64)[np.asarray(themes, int)] + spread * rng.normal(size=(len(themes), 64)) / 8
    vectors /= np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-9)
    count = len(themes)
    return Sighting(
        vectors.astype(np.float32).reshape(count, 64),
        np.asarray(instants, np.float64),
        np.asarray([0] * count if cameras is None else cameras, np.int64),
        np.asarray([0] * count if folders is None else folders, np.int64),
    )


def labels(seen, **habits):
    found = group(seen, Seen(seen.vectors), near_pairs(seen.vectors, SAME), Habits(**habits))
    return found.moment.tolist(), found.scene.tolist(), found.chapter.tolist()


def test_nothing_at_all():
    assert labels(sighting([], [])) == ([], [], [])


def test_one_frame():
    assert labels(sighting([3], [10.0])) == ([0], [0], [0])


def test_a_burst_is_a_moment_although_its_frames_differ():
    seen = sighting([1, 1, 1, 2], [0.0, 0.3, 0.6, 100.0], spread=0.9)
    moment, _, _ = labels(seen)
    assert moment == [0, 0, 0, 1]
    assert len(near_pairs(seen.vectors, SAME).first) == 0


def test_one_view_hours_apart_is_one_moment():
    moment, _, _ = labels(sighting([1, 2, 1], [0.0, 3600.0, 7200.0]))
    assert moment == [0, 1, 0]


def test_two_cameras_side_by_side_make_no_burst_of_what_they_see_apart():
    moment, _, _ = labels(sighting([1, 2, 1, 2], [0.0, 0.1, 0.2, 0.3], cameras=[0, 1, 0, 1]))
    assert moment == [0, 1, 0, 1]


def test_a_long_pause_ends_a_chapter_and_with_it_a_scene():
    _, scene, chapter = labels(sighting([1, 1, 1, 1], [0.0, 300.0, 600.0, 10_600.0], spread=0.6))
    assert scene == chapter == [0, 0, 0, 1]


def test_nothing_is_read_of_frames_that_are_alone_in_their_chapter():
    seen = sighting([1, 2, 3], [0.0, 1e5, 2e5])
    found = group(seen, None, near_pairs(seen.vectors, 0.0))
    assert found.scene.tolist() == found.chapter.tolist() == [0, 1, 2]


def test_a_scene_is_left_and_comes_back():
    times = [400.0 * number for number in range(6)]
    assert labels(sighting([1, 1, 2, 2, 1, 1], times, spread=0.6))[1] == [0, 0, 1, 1, 0, 0]


@pytest.mark.parametrize(("pause", "expected"), [(2.0, [0, 0, 0, 0]), (400.0, [0, 0, 1, 0])])
def test_an_odd_frame_belongs_to_a_scene_by_time_alone_and_ends_none(pause, expected):
    times = [0.0, 5.0, 5.0 + pause, 10.0 + pause]
    assert labels(sighting([1, 1, 9, 1], times, spread=0.6))[1] == expected


def test_different_things_within_an_hour_are_different_scenes():
    count = 12
    assert labels(sighting(range(count), [240.0 * n for n in range(count)]))[1] == list(range(count))


def test_other_light_speaks_against_one_scene_and_unknown_light_not_at_all():
    seen = sighting([1, 1, 2, 2], [0.0, 2.0, 26.0, 28.0], spread=0.2)
    assert labels(seen)[1] == labels(replace(seen, light=np.array([6.0, np.nan, np.nan, np.nan])))[1] == [0, 0, 0, 0]
    assert labels(replace(seen, light=np.array([2.0, 2.0, 16.0, 16.0])))[1] == [0, 0, 1, 1]


def test_a_long_chapter_is_cut_at_its_longest_pause(monkeypatch):
    monkeypatch.setattr(grouping, "MOST_AT_ONCE", 4)
    times = [0.0, 10.0, 20.0, 90.0, 100.0, 110.0]
    assert labels(sighting([1] * 6, times, spread=0.6), burst_s=0.0)[1] == [0, 0, 0, 1, 1, 1]


def test_without_times_content_and_order_of_path_decide():
    _, scene, chapter = labels(sighting([1, 1, 2, 2, 3], [np.nan] * 5, folders=[0, 0, 0, 0, 1], spread=0.6))
    assert scene == [0, 0, 1, 1, 2]
    assert chapter == [0, 0, 0, 0, 1]


def test_a_moment_lies_in_one_scene():
    seen = sighting([1, 1, 1, 2, 1], [0.0, 1.0, 2.0, 9000.0, 9001.0])
    moment, scene, chapter = labels(seen)
    assert moment == [0, 0, 0, 1, 0]
    assert scene == [0, 0, 0, 1, 0]
    assert chapter == [0, 0, 0, 1, 1]


def test_labels_follow_time_not_path():
    moment, scene, _ = labels(sighting([1, 2, 3], [50_000.0, 20_000.0, 0.0]))
    assert (moment, scene) == ([2, 1, 0], [2, 1, 0])


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.none() | st.floats(0, 1e5), st.integers(-1, 2)), min_size=1, max_size=60)
)
def test_labels_are_dense_and_moments_nest_in_scenes(frames):
    themes, times, cameras = zip(*frames, strict=True)
    seen = sighting(themes, [np.nan if time is None else time for time in times], cameras, spread=0.4)
    moment, scene, chapter = labels(seen)
    for numbers in (moment, scene, chapter):
        assert set(numbers) == set(range(max(numbers) + 1))
    assert len(set(zip(moment, scene, strict=True))) == len(set(moment))


class Lasting(Seen):
    """The same, made of one object a frame, which is another where its vector has changed."""

    def __init__(self, vectors, made_of):
        super().__init__(vectors)
        self.made, self.asked = made_of, 0

    def __getitem__(self, rows):
        self.asked += 1
        return super().__getitem__(rows)

    def made_of(self, rows):
        """Return the objects of some frames."""
        return [self.made[row] for row in rows.tolist()]


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.none() | st.floats(0, 1e5)), min_size=2, max_size=40),
    st.lists(st.tuples(st.integers(0, 39), st.integers(0, 5), st.booleans()), max_size=4),
)
def test_scenes_that_are_known_change_nothing(frames, changes):
    themes, times = (list(part) for part in zip(*frames, strict=True))
    made, known = [[at] for at in range(len(themes))], {}
    for at, theme, later in [(0, themes[0], False), *changes]:
        at %= len(themes)  # noqa: PLW2901
        themes[at], made[at] = theme, [at]
        times[at] = 5e4 if later else times[at]
        seen = sighting(themes, [np.nan if time is None else time for time in times], spread=0.4)
        same = near_pairs(seen.vectors, SAME)
        found = group(seen, Lasting(seen.vectors, made), same, known=known)
        fresh = group(seen, Seen(seen.vectors), same)
        for name in ("moment", "scene", "chapter"):
            np.testing.assert_array_equal(getattr(found, name), getattr(fresh, name))


def test_of_known_scenes_only_those_with_a_changed_frame_are_looked_at():
    seen = sighting([0, 0, 1, 1, 2, 2], [0, 60, 20_000, 20_060, 50_000, 50_060])
    same, made, known = near_pairs(seen.vectors, SAME), [[at] for at in range(6)], {}
    for expected, changed in ((3, None), (0, None), (1, 3)):
        if changed is not None:
            made[changed] = [changed]
        looks = Lasting(seen.vectors, made)
        group(seen, looks, same, known=known)
        assert looks.asked == expected


@settings(deadline=None, max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 5), st.floats(0, 1e4)), min_size=1, max_size=40), st.integers(1, 5))
def test_the_size_of_blocks_does_not_matter(frames, block):
    themes, times = zip(*frames, strict=True)
    seen = sighting(themes, times, spread=0.9)
    whole = labels(seen)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(grouping, "_BLOCK", block)
        assert labels(seen) == whole


def test_a_series_is_one_moment():
    seen = sighting([1, 2, 1, 1, 1], [0.0, 1e4, 2e4, 3e4, 4e4])
    found = group(seen, Seen(seen.vectors), near_pairs(seen.vectors, SAME, most=1))
    assert found.moment.tolist() == [0, 1, 0, 0, 0]


@pytest.mark.parametrize("order", [[2, 0, 1, 3], [3, 2, 1, 0]])
def test_groups_do_not_depend_on_names(order):
    themes, times = [1, 1, 2, 3], [0.0, 0.5, 4000.0, 90_000.0]
    plain = labels(sighting(themes, times))
    mixed = labels(sighting([themes[n] for n in order], [times[n] for n in order]))
    assert [[numbers[order.index(n)] for n in range(4)] for numbers in mixed] == list(plain)


DAY = 86_400.0


def test_days_alone_part_chapters_and_content_parts_scenes_within_one():
    seen = sighting([1, 1, 2, 2, 2, 2], [0.0, 0.0, 0.0, 0.0, DAY, DAY], spread=0.9)
    seen = replace(seen, vague=np.ones(6, np.bool_))
    moment, scene, chapter = labels(seen)
    assert chapter == [0, 0, 0, 0, 1, 1]
    assert scene == [0, 0, 1, 1, 2, 2]
    assert moment == [0, 1, 2, 3, 4, 5]  # no bursts: nobody knows that they were taken at once


def test_a_day_alone_beside_a_time_on_it_is_no_pause():
    seen = replace(sighting([1, 1], [0.0, 50_000.0], spread=0.3), vague=np.array([True, False]))
    _, scene, chapter = labels(seen)
    assert (scene, chapter) == ([0, 0], [0, 0])
