"""Appeal: what a frame earns by itself."""

from dataclasses import replace

import pytest

from setsolver.domain.measures import Appeal
from setsolver.rules import assemble
from tests.rules.builders import make_brief, make_frame, make_snapshot


def rated(number, value):
    frame = make_frame(number)
    return replace(frame, measures=replace(frame.measures, appeal=value and Appeal(value, 0.5)))


def gains(*values):
    shoot = make_snapshot(*(rated(number, value) for number, value in enumerate(values)))
    assembly = assemble(shoot, make_brief(size=2))
    table = assembly.parts.gains["appeal"].max(axis=1)
    frames = [rendition.frame.id for rendition in assembly.renditions]
    return {frame: float(table[row]) for row, frame in enumerate(frames)}


def test_five_earns_one_and_one_earns_nothing():
    found = gains(5.0, 3.0, 1.0)
    assert [found[k] for k in range(3)] == pytest.approx([1, 0.5, 0])


def test_what_is_left_for_later_counts_as_the_mean_of_the_others():
    assert gains(4.0, 2.0, None)[2] == pytest.approx(0.5)


def test_where_nothing_is_known_all_earn_nothing():
    assert set(gains(None, None, None).values()) == {0.0}
