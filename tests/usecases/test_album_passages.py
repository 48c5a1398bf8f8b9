"""The order of a book: every frame has its place, chapters are joined where they follow soonest, passages are even."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.frame import Shot
from setsolver.errors import NoSet
from setsolver.usecases.album_passages import chapters_in, passages_in, ranks_of
from tests.rules.builders import make_snapshot
from tests.usecases.albums import brief, shoot


def ranked(snapshot, **album):
    return ranks_of(snapshot, brief(**album).album)


def without_time(snapshot, *numbers):
    return make_snapshot(*(replace(f, shot=Shot()) if f.id in numbers else f for f in snapshot.frames))


def test_frames_without_a_time_follow_the_one_before_by_name():
    rank, says = ranked(without_time(shoot(8, 1), 0, 3))
    assert rank.tolist() == list(range(8))
    assert says == ("2 frames without a time follow the one before by name",)


def test_too_few_times_are_told_and_names_do_as_well():
    nearly = without_time(shoot(10, 1), *range(4))
    with pytest.raises(NoSet, match=r'4 frames of 10 have no time.*order = "name"'):
        ranked(nearly)
    assert ranked(nearly, order="name")[1] == ()


def test_chapters_that_follow_each_other_soonest_are_joined():
    """Three chapters of ten frames each, with breaks as long as each other: any two neighbours may be joined."""
    snapshot = shoot(30, 3)
    rank, _ = ranked(snapshot)
    everyone = np.arange(30)
    assert [len(own) for own in chapters_in(snapshot, rank, everyone, 3)] == [10, 10, 10]
    assert sorted(len(own) for own in chapters_in(snapshot, rank, everyone, 2)) == [10, 20]
    assert [len(own) for own in chapters_in(snapshot, rank, everyone[::2], 1)] == [15]


@pytest.mark.parametrize("spreads", [2, 4, 6, 12])
def test_every_frame_lies_in_one_passage_of_its_chapter_and_passages_run_on(spreads):
    snapshot = shoot(36, 3)
    rank, _ = ranked(snapshot)
    chapters = chapters_in(snapshot, rank, np.arange(36), 9)
    passage, chapter = passages_in(snapshot, chapters, spreads)
    assert (passage >= 0).all()
    for number, own in enumerate(chapters):
        assert {int(chapter[at]) for at in passage[list(own)]} == {number}
    assert set(np.diff(passage).tolist()) <= {0, 1}


def test_frames_that_cannot_be_used_lie_in_no_passage():
    snapshot = shoot(12, 1)
    rank, _ = ranked(snapshot)
    passage, _ = passages_in(snapshot, chapters_in(snapshot, rank, np.arange(0, 12, 2), 1), 3)
    assert (passage[1::2] == -1).all()
    assert (passage[::2] >= 0).all()
