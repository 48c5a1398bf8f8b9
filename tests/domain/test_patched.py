"""Rows made again only for frames that differ in what they are made of."""

from dataclasses import replace

import numpy as np

from setsolver.domain.columns import Column
from setsolver.domain.patched import Patched
from tests.rules.builders import make_random_snapshot

FRAMES = make_random_snapshot(30, seed=1).frames


def make(most=1000):
    asked = []

    def rows(tiles, stars):
        asked.append(len(tiles))
        return np.column_stack([[tile.lightness.sum() for tile in tiles.tolist()], stars])

    columns = Column(lambda frame: frame.measures.tiles, object), Column(lambda frame: frame.stars or 0.0)
    return Patched(rows, *columns, most=most), asked


def test_rows_are_made_of_what_differs_alone_and_are_the_very_same_where_nothing_does():
    patched, asked = make()
    first = patched.of(FRAMES)
    assert patched.of(tuple(replace(frame, note="seen") for frame in FRAMES)) is first
    rated = tuple(replace(frame, stars=4.0) if frame.id in (2, 9) else frame for frame in FRAMES)
    found = patched.of(rated)
    assert asked == [30, 2]
    np.testing.assert_array_equal(found, make()[0].of(rated))
    np.testing.assert_array_equal(first, make()[0].of(FRAMES))


def test_too_many_are_not_kept():
    patched, asked = make(most=29)
    patched.of(FRAMES)
    patched.of(FRAMES)
    assert asked == [30, 30]


def test_after_a_change_that_is_taken_back_the_rows_of_before_serve():
    patched, asked = make()
    first = patched.of(FRAMES)
    patched.of(tuple(replace(frame, stars=4.0) if frame.id == 2 else frame for frame in FRAMES))
    assert patched.of(tuple(replace(frame, note="seen") if frame.id == 9 else frame for frame in FRAMES)) is first
    assert asked == [30, 1]
