"""Crop maps: sums by hand, and crops that follow them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.crops.attention import running_sums, shares
from setsolver.crops.canvas import turn_map
from setsolver.crops.columns import stack_frames
from setsolver.crops.framing import Framing, scenery_of
from setsolver.crops.mapped import borders, wanted
from setsolver.crops.placing import worth
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.geometry import cell_cover
from setsolver.domain.measures import CROP_MAP_STEPS, Tilt
from tests.rules.builders import make_frame

FINE = 140
"""Cells a side of the grid by which sums are told by hand: ten to a place."""
LEFT, MIDDLE, RIGHT = 0.0, 1 / 6, 1 / 3
"""Where the largest square of a 3 : 2 frame starts at the ends and in the middle."""


@st.composite
def boxes(draw):
    x, y = draw(st.integers(0, 100)), draw(st.integers(0, 100))
    return np.array([x, y, draw(st.integers(20, FINE - x)), draw(st.integers(20, FINE - y))]) / FINE


@given(boxes(), st.integers(0, 2**32 - 1))
def test_what_a_crop_holds_is_the_sum_of_its_places(box, seed):
    worth = np.random.default_rng(seed).normal(size=(14, 14))
    fine = np.kron(worth, np.ones((10, 10))) / 100
    x, y, wide, high = np.rint(box * FINE).astype(int)
    by_hand = fine[y : y + high, x : x + wide].sum() - fine.sum()
    assert wanted(running_sums(worth[None]), box[None, None])[0, 0] == pytest.approx(by_hand)


@given(boxes(), st.integers(0, 2**32 - 1))
def test_what_borders_run_through_is_a_place_on_either_side_of_each_and_ends_of_the_frame_are_told_apart(box, seed):
    worth = np.random.default_rng(seed).normal(size=(14, 14))
    x, y, wide, high = box
    total, ends = 0.0, []
    for low, across in ((x, True), (x + wide, True), (y, False), (y + high, False)):
        strip = cell_cover(max(0, low - 1 / 14), min(1, low + 1 / 14), 14)
        along = cell_cover(y, y + high, 14) if across else cell_cover(x, x + wide, 14)
        side = along @ worth @ strip if across else strip @ worth @ along
        if 0.01 < low < 0.99:
            total += side
        else:
            ends.append(side)
    crossed, ended = borders(running_sums(worth[None]), box[None, None])
    assert crossed[0, 0] == pytest.approx(total)
    assert ended[0, 0] == pytest.approx(min(ends, default=0.0))


def test_the_whole_frame_is_worth_nothing_more_and_runs_through_nothing():
    sums, whole = (
        running_sums(np.random.default_rng(1).normal(size=(3, 14, 14))),
        np.tile([0.0, 0.0, 1.0, 1.0], (3, 1, 1)),
    )
    assert wanted(sums, whole) == pytest.approx(np.zeros((3, 1)))
    assert not borders(sums, whole)[0].any()


def test_a_map_keeps_its_values_when_it_is_turned():
    """No rescaling: a map of one value is that value wherever the canvas is covered, and no turn changes nothing."""
    flat, wild = np.full((2, 14, 14), -0.3), np.random.default_rng(2).normal(size=(2, 14, 14))
    turned = turn_map(flat, np.array([5.0, 0.0]), np.array([1.5, 1.5]))
    assert turned[:, 4:10, 4:10] == pytest.approx(np.full((2, 6, 6), -0.3))
    assert np.array_equal(turn_map(wild, np.zeros(2), np.full(2, 1.5)), wild)


def square_of(held=None, borders=None):
    """Return where the largest square of a plain 3 : 2 frame starts, by its map in logits; None: without a map."""
    frame = make_frame(
        1, "medium", size=(3000, 2000), confidence=0.0, tilt=Tilt(None, 0.0, None), attention=np.full((16, 16), 1 / 256)
    )
    if held is not None or borders is not None:
        maps = np.stack([np.zeros((14, 14)) if one is None else one for one in (held, borders)])
        codes = np.clip(np.rint(maps * np.array(CROP_MAP_STEPS)[:, None, None]), -127, 127).astype(np.int8)
        frame = replace(frame, measures=replace(frame.measures, crop_map=codes))
    table = cut_crops((frame,), (1.0,))
    return float(table.box[np.argmax(table.box[:, 3])][0])


def columns(worth, start, end):
    grid = np.zeros((14, 14))
    grid[:, start:end] = worth
    return grid


def test_without_a_map_the_middle_is_kept():
    assert square_of() == pytest.approx(MIDDLE, abs=0.01)


def test_what_is_worth_much_is_held():
    assert square_of(held=columns(0.1, 0, 3)) == pytest.approx(LEFT, abs=0.05)
    assert square_of(held=columns(0.1, 11, 14)) == pytest.approx(RIGHT, abs=0.05)


def test_no_border_runs_through_what_should_not_be_cut():
    """At the middle the borders would run through columns 2 and 11; harm at 2 alone pushes the crop aside."""
    start = square_of(borders=columns(-0.2, 2, 4))
    assert start < MIDDLE - 0.05 or start > MIDDLE + 0.05


def test_a_map_of_nothing_keeps_the_middle_too():
    assert square_of(held=np.zeros((14, 14))) == pytest.approx(MIDDLE, abs=0.01)


@pytest.mark.parametrize(("level", "above"), [(12.0, True), (-12.0, False)])
def test_maps_turn_with_the_frame(level, above):
    """Levelled counter-clockwise, what lies right of the middle comes to lie higher, as on paper."""
    maps = np.zeros((2, 14, 14), np.int8)
    maps[:, 6:8, 12:] = 100
    columns_ = stack_frames((make_frame(0, size=(3000, 3000), crop_map=maps),))
    scenery = scenery_of(columns_, np.array([level]))
    halves = np.array([[[0.5, 0.0, 0.5, 0.45], [0.5, 0.55, 0.5, 0.45]]])
    for sums in (scenery.held, scenery.borders):
        upper, lower = shares(sums, halves)[0]
        assert (upper > 2 * lower) if above else (lower > 2 * upper)


@given(st.sampled_from(["subject", "top", "air"]), st.integers(0, 2**32 - 1))
def test_what_is_a_mere_guess_at_a_subject_counts_for_nothing(name, seed):
    marks = Framing(*np.random.default_rng(seed).random((len(Framing._fields), 1, 4)))
    other, mapped = marks._replace(**{name: marks.shift[:, ::-1]}), np.ones(1)
    assert worth(marks, np.zeros(1), mapped) == pytest.approx(worth(other, np.zeros(1), mapped))
    assert worth(marks, np.ones(1), mapped) != pytest.approx(worth(other, np.ones(1), mapped))
