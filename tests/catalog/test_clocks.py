"""Two cameras with clocks apart: brought together where their pictures prove it, left alone where they do not."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.catalog import clocks
from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.records import Pairs
from tests.catalog.test_grouping import SAME, Seen, sighting


def shoot(gap, shared=6, step=120.0, jitter=5.0, seed=0):
    """Return a shoot by two cameras: the first takes every theme, the second some of them, its clock ``gap`` ahead."""
    rng = np.random.default_rng(seed)
    first = np.arange(20)
    second = np.sort(rng.choice(20, shared, replace=False))
    times = np.concatenate([first * step, second * step + gap + rng.uniform(-jitter, jitter, shared)])
    seen = sighting([*first, *second], times, cameras=[0] * 20 + [1] * shared, spread=0.1)
    return type(seen)(seen.vectors, seen.instant, seen.camera, seen.folder, ("Clay One", "Clay Two"))


def run(seen):
    return aligned(seen, near_pairs(seen.vectors, SAME))


@pytest.mark.parametrize("gap", [3600.0, -3600.0, 432.0, 86_400.0 * 365])
def test_a_clock_set_apart_is_found_and_said(gap):
    seen = shoot(gap)
    moved, remarks = run(seen)
    assert len(remarks) == 1
    assert "'Clay Two'" in remarks[0]
    assert ("ahead of" if gap > 0 else "behind") in remarks[0]
    assert np.abs(moved.instant[20:] - (seen.instant[20:] - gap)).max() <= 5.0
    assert np.array_equal(moved.instant[:20], seen.instant[:20])


def test_scenes_run_through_both_cameras_once_aligned():
    seen = shoot(50_000.0)
    same = near_pairs(seen.vectors, SAME)
    looks = Seen(seen.vectors)
    assert group(seen, looks, same).chapter.max() == 1
    assert group(aligned(seen, same)[0], looks, same).chapter.max() == 0


def test_clocks_that_agree_are_left_alone():
    seen = shoot(20.0)
    moved, remarks = run(seen)
    assert remarks == ()
    assert np.array_equal(moved.instant, seen.instant)


def test_too_few_shared_pictures_prove_nothing():
    assert run(shoot(3600.0, shared=2))[1] == ()


def test_the_same_views_again_at_another_pace_prove_nothing():
    first = np.arange(20)
    times = np.concatenate([first * 120.0, 40_000 + first * 200.0])
    seen = sighting([*first, *first], times, cameras=[0] * 20 + [1] * 20, spread=0.1)
    seen = type(seen)(seen.vectors, seen.instant, seen.camera, seen.folder, ("Clay One", "Clay Two"))
    assert run(seen)[1] == ()


def test_one_view_at_two_times_of_day_proves_nothing():
    times = np.concatenate([np.arange(5) * 2.0, 30_000 + np.arange(5) * 2.0])
    seen = sighting([1] * 10, times, cameras=[0] * 5 + [1] * 5, spread=0.1)
    seen = type(seen)(seen.vectors, seen.instant, seen.camera, seen.folder, ("Clay One", "Clay Two"))
    assert run(seen)[1] == ()


def test_frames_without_time_or_camera_are_left_out():
    seen = shoot(3600.0)
    seen.instant[3] = np.nan
    seen.camera[5] = -1
    assert len(run(seen)[1]) == 1


def test_a_clock_that_the_user_set_is_right_and_the_others_follow_it():
    seen = shoot(3600.0)
    seen = replace(seen, said=frozenset({1}))
    moved, remarks = run(seen)
    assert "the clock of 'Clay One' is 1:00:0" in remarks[0]
    assert "behind that of 'Clay Two'" in remarks[0]
    assert np.array_equal(moved.instant[20:], seen.instant[20:])
    assert np.abs(moved.instant[:20] - seen.instant[:20] - 3600).max() <= 5.0


def test_clocks_that_the_user_set_are_all_left_alone():
    seen = replace(shoot(3600.0), said=frozenset({0, 1}))
    moved, remarks = run(seen)
    assert remarks == ()
    assert np.array_equal(moved.instant, seen.instant)


def test_the_remark_says_how_the_times_are_put_right():
    assert "scan --clock 'Clay Two=-1h" in run(shoot(3600.0, jitter=0.0))[1][0]
    assert "'Clay Two=0h' says that they are right" in run(shoot(3600.0))[1][0]


def test_cameras_that_share_nothing_with_the_first_are_still_aligned_with_each_other():
    one, two = shoot(3600.0), shoot(0.0, seed=1)
    apart = np.roll(one.vectors, 32, axis=1)
    seen = type(one)(
        np.concatenate([two.vectors[:20], two.vectors[:5], apart]),
        np.concatenate([two.instant[:20], two.instant[:5] + 1, one.instant]),
        np.concatenate([np.zeros(25, np.int64), one.camera + 1]),
        np.zeros(25 + len(apart), np.int64),
        ("Clay Zero", "Clay One", "Clay Two"),
    )
    remarks = run(seen)[1]
    assert len(remarks) == 1
    assert "the clock of 'Clay Two' is 1:00:0" in remarks[0]
    assert "ahead of that of 'Clay One'" in remarks[0]


def test_days_alone_prove_nothing():
    seen = shoot(3600.0)
    seen = replace(seen, vague=np.arange(len(seen.instant)) >= 20)
    moved, remarks = run(seen)
    assert remarks == ()
    assert np.array_equal(moved.instant, seen.instant)


def test_many_cameras_that_show_nothing_of_each_other_are_not_compared(monkeypatch):
    """Photographs of a hundred cameras once took seconds at every turn of a frame."""
    asked = []
    monkeypatch.setattr(clocks, "_gap", lambda _seen, _same, *pair: asked.append(pair))
    two, others = shoot(3600.0), 100
    camera = np.concatenate([two.camera, 2 + np.arange(others)])
    seen = type(two)(
        np.concatenate([two.vectors, np.zeros((others, two.vectors.shape[1]), np.float32)]),
        np.concatenate([two.instant, np.arange(others) * 60.0]),
        camera,
        np.zeros(len(camera), np.int64),
        tuple(f"Clay {number}" for number in range(others + 2)),
    )
    clocks.aligned(seen, near_pairs(two.vectors, SAME))
    assert sorted(asked) == [(1, 0)]


def test_along_a_chain_of_cameras_every_clock_is_brought_to_the_first():
    """Each shares pictures with the one before it alone; clocks are 1, 3 and 6 hours ahead of the first."""
    ahead = (0.0, 3600.0, 3 * 3600.0, 6 * 3600.0)
    themes, instants, cameras = [], [], []
    for camera, shift in enumerate(ahead):
        own = [
            *range(8 * camera, 8 * camera + 8 + (camera == 0)),
            *(range(8 * camera - 8, 8 * camera) if camera else ()),
        ]
        themes += own
        instants += [theme * 120.0 + shift for theme in own]
        cameras += [camera] * len(own)
    seen = sighting(themes, instants, cameras=cameras)
    seen = replace(seen, cameras=("Clay Zero", "Clay One", "Clay Two", "Clay Three"))
    counts = np.bincount(seen.camera)
    assert set(counts[1:]) == {16}
    moved, remarks = run(replace(seen, said=frozenset({0})))
    assert len(remarks) == 3
    assert moved.instant == pytest.approx(np.array(themes) * 120.0)
    assert "'Clay Three' is 6:00:00 ahead of that of 'Clay Zero'" in remarks[2]


def by_hand(times, ahead):
    """The gap found between two cameras that took the same things at these times, the second's clock ahead by these."""
    count = len(times)
    instants = [*times, *(time + more for time, more in zip(times, ahead, strict=True))]
    seen = sighting(range(2 * count), instants, cameras=[0] * count + [1] * count)
    same = Pairs(np.arange(count), np.arange(count) + count, ())
    moved, remarks = aligned(replace(seen, cameras=("Clay One", "Clay Two")), same)
    assert (remarks == ()) == np.array_equal(moved.instant, seen.instant)
    return seen.instant[count:] - moved.instant[count:]


@pytest.mark.parametrize(
    ("times", "ahead", "found"),
    [
        ((0, 150, 300), (900, 900, 900), 900),  # three frames over five minutes are enough
        ((0, 300), (900, 900), 0),  # two are not
        ((0, 150, 299), (900, 900, 900), 0),  # nor is a shorter stretch
        ((0, 200, 400), (900, 915, 930), 915),  # half a minute apart they agree, on their median
        ((0, 200, 400), (900, 915, 931), 0),  # beyond they do not
        ((0, 150, 300, 450, 600, 750), (900, 900, 900, 3000, 6000, 9000), 900),  # half of all pairs agree
        ((0, 150, 300, 450, 600, 750, 900), (900, 900, 900, 3000, 6000, 9000, 12000), 0),  # fewer than half
        ((0, 150, 300), (60, 60, 60), 0),  # a minute is no matter
        ((0, 150, 300), (61, 61, 61), 61),
        ((0, 150, 300), (-61, -61, -61), -61),
    ],
)
def test_a_gap_is_believed_from_three_frames_over_five_minutes_that_half_of_all_pairs_agree_on(times, ahead, found):
    assert by_hand(times, ahead).tolist() == [found] * len(times)
