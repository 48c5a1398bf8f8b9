"""Crops of levelled frames lie on what the frame shows, wherever they are put."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.crops.canvas import crop_height, crops_at, turn_attention
from setsolver.domain.geometry import Box, corners_on_frame

ASPECTS = st.sampled_from([1.5, 2 / 3, 1.0, 16 / 9, 0.4])
PLACES = st.tuples(st.floats(-1, 1), st.floats(-1, 1))


@given(ASPECTS, ASPECTS, st.floats(-30, 30), st.floats(0.3, 1), PLACES)
def test_every_corner_lies_on_the_frame_and_every_side_on_the_canvas(aspect, frame_aspect, level, share, place):
    height = share * crop_height(aspect, np.array([level]), np.array([frame_aspect]))
    boxes = crops_at(aspect, height, np.array([level]), np.array([frame_aspect]), np.array([[place]]))
    x, y, w, h = boxes[0, 0]
    assert w * frame_aspect / h == pytest.approx(aspect)
    assert min(x, y) >= -1e-9
    assert max(x + w, y + h) <= 1 + 1e-9
    corners = corners_on_frame(Box(x, y, w, h), level, frame_aspect)
    assert corners.min() >= -1e-9
    assert corners.max() <= 1 + 1e-9


@pytest.mark.parametrize("level", [-20.0, -4.0, 0.0, 7.0])
def test_the_ends_of_the_room_are_reached(level):
    levels, frames = np.array([level]), np.array([1.5])
    height = 0.5 * crop_height(1.0, levels, frames)
    ends = np.array([[[-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [1.0, -1.0], [0.0, 0.0]]])
    boxes = crops_at(1.0, height, levels, frames, ends)[0]
    touching = [corners_on_frame(Box(*box), level, 1.5) for box in boxes]
    assert all(min(c.min(), 1 - c.max()) < 1e-6 or min(b[:2].min(), 1 - (b[:2] + b[2:]).max()) < 1e-6
               for c, b in zip(touching[:4], boxes[:4], strict=True))  # fmt: skip
    assert boxes[4][:2] + boxes[4][2:] / 2 == pytest.approx([0.5, 0.5])


@pytest.mark.parametrize("level", [-20.0, 0.0, 7.0])
def test_attention_sums_to_what_it_did_however_it_is_turned(level):
    """Beside one that stays as it is: corners turn out of the canvas, and what is left makes up for them."""
    attention = np.random.default_rng(3).random((2, 16, 16))
    turned = turn_attention(attention, np.array([level, 0.0]), np.array([1.5, 0.8]))
    assert turned.sum(axis=(1, 2)) == pytest.approx(attention.sum(axis=(1, 2)))
    assert np.array_equal(turned[1], attention[1])
