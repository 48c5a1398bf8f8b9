"""Columns: read once a frame, patched where frames change, the very same array where what is read did not."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.columns import Column, appeal_of, known_or_mean, odds_of, paths_of
from setsolver.domain.last import forget_all
from setsolver.domain.learned import LearnedFrames
from setsolver.domain.measures import SCALES, Appeal
from tests.rules.builders import make_random_snapshot

FRAMES = tuple(
    replace(frame, measures=replace(frame.measures, appeal=Appeal(1.0 + frame.id % 4, 0.5)))
    for frame in make_random_snapshot(40, seed=2).frames
)


def rated(frames, stars):
    return tuple(replace(frame, stars=stars[frame.id]) if frame.id in stars else frame for frame in frames)


@given(st.lists(st.dictionaries(st.integers(0, 39), st.sampled_from([None, 0.0, 3.0, 5.0]), max_size=12), max_size=6))
def test_a_column_is_what_reading_every_frame_gives_after_any_changes(changes):
    stars = Column(lambda frame: np.nan if frame.stars is None else frame.stars)
    shots, frames = Column(lambda frame: frame.shot, object), FRAMES
    known = shots.of(frames)
    for change in changes:
        frames = rated(frames, change)
        np.testing.assert_array_equal(stars.of(frames), [np.nan if f.stars is None else f.stars for f in frames])
        assert shots.of(frames) is known


def test_only_frames_that_are_others_are_read_again():
    read = []
    column = Column(lambda frame: read.append(frame.id) or frame.width)
    column.of(FRAMES)
    read.clear()
    column.of(rated(FRAMES, {3: 5.0, 7: 1.0}))
    assert read == [3, 7]
    column.forget()
    column.of(FRAMES)
    assert len(read) == 2 + len(FRAMES)


def test_after_a_change_that_is_taken_back_and_another_one_the_column_is_that_of_before():
    column = Column(lambda frame: frame.stars or 0.0)
    before = column.of(FRAMES)
    column.of(rated(FRAMES, {3: 5.0}))
    noted = tuple(replace(frame, note="seen") if frame.id == 4 else frame for frame in FRAMES)
    assert column.of(noted) is before
    assert column.of(FRAMES) is before


def test_a_look_at_one_frame_does_not_drive_out_a_catalog():
    read = []
    column = Column(lambda frame: read.append(frame.id) or frame.width)
    column.of(FRAMES)
    column.of(FRAMES[:1])
    read.clear()
    column.of(FRAMES)
    assert read == []


def test_a_column_cannot_be_written_to():
    column = Column(lambda frame: frame.width)
    assert not column.of(FRAMES).flags.writeable
    assert not column.of(rated(FRAMES, {3: 5.0})).flags.writeable


def test_what_was_learned_is_read_from_the_frames_that_are_made():
    rng = np.random.default_rng(0)
    said = tuple(replace(frame, said=SCALES[frame.id % 3]) if frame.id % 5 == 0 else frame for frame in FRAMES)
    learned = LearnedFrames(said, rng.dirichlet([1, 1, 1], 40), rng.uniform(1, 5, 40))
    made = tuple(learned)
    np.testing.assert_array_equal(odds_of(learned), [frame.odds for frame in made])
    np.testing.assert_array_equal(appeal_of(learned), [frame.measures.appeal.value for frame in made])
    forget_all()
    np.testing.assert_array_equal(odds_of(made), [frame.odds for frame in made])
    np.testing.assert_array_equal(appeal_of(made), appeal_of(learned))
    assert paths_of(learned) == [frame.path for frame in made]


def test_frames_are_made_when_they_are_looked_at_and_then_stay():
    learned = LearnedFrames(FRAMES, None, np.full(40, 2.5))
    assert learned[3] is learned[3]
    assert learned[3].measures.appeal.value == 2.5
    assert learned[3].measures.tiles is FRAMES[3].measures.tiles
    assert [frame.id for frame in learned[5:8]] == [5, 6, 7]
    assert learned[-1].id == 39


@pytest.mark.parametrize(
    ("values", "expected"),
    [([], []), ([0.25, np.nan, 0.75], [0.25, 0.5, 0.75]), ([np.nan, np.nan], [0.3, 0.3]), ([1.0], [1.0])],
)
def test_what_is_not_known_counts_as_the_mean_of_what_is(values, expected):
    assert known_or_mean(np.array(values, float), 0.3).tolist() == expected
