"""The size of the set against the catalog."""

import pytest

from setsolver.errors import BadBrief, TooFewFrames
from setsolver.rules import assemble
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_shoot, make_snapshot


def test_trivial_one_frame_one_set():
    assert paths_of(assemble(make_shoot(1), make_brief(size=1))) == {frozenset({"frame-0000.jpg"})}


def test_feasible_as_many_as_there_are():
    assert len(paths_of(assemble(make_shoot(3), make_brief(size=3)))) == 1


def test_infeasible_a_size_above_the_catalog_is_said_with_both_numbers():
    with pytest.raises(BadBrief, match=r"size = 9, but the catalog holds 4 frames; lower size to 4"):
        assemble(make_shoot(4), make_brief(size=9))


def test_an_empty_catalog_is_said():
    with pytest.raises(BadBrief, match="holds no frame"):
        assemble(make_snapshot(), make_brief())


def test_what_left_too_few_frames_is_said_and_is_no_bad_input():
    small = [make_frame(i, size=(900, 600)) for i in range(3)]
    with pytest.raises(TooFewFrames, match=r"only 1 of 4 frames .* 3 frames have too few pixels") as caught:
        assemble(make_snapshot(*small, make_frame(3)), make_brief())
    assert caught.value.exit_code == 1
    assert set(caught.value.reasons) == {0, 1, 2}


def test_where_nothing_is_left_it_says_none():
    with pytest.raises(TooFewFrames, match=r"size = 3, but none of 4 frames can be used: 4 frames have too few"):
        assemble(make_shoot(4, size=(900, 600)), make_brief())


def test_excluded_frames_do_not_count():
    with pytest.raises(TooFewFrames, match="at your wish"):
        assemble(make_shoot(4), make_brief(frames={"exclude": ["frame-000[01].jpg"]}))
