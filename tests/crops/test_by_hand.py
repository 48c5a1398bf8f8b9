"""Crops by hand: on the frame and the canvas, of the aspect asked, about the point asked where there is room."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from setsolver.crops.by_hand import crop_by_hand, framed_by_hand
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.brief import CropWish
from setsolver.domain.cut import Cut
from tests.rules.builders import make_frame, make_snapshot

FRAMES = make_snapshot(*(make_frame(i, "wide") for i in range(4))).frames
ASPECTS = st.sampled_from([1.0, 1.5, 0.8, 2.0])
SHARES, UNIT, LEVELS = st.floats(0.1, 1), st.floats(0, 1), st.floats(-20, 20)


def corners(box, level, aspect):
    """Return the corners of a crop of the levelled frame, in the file's own frame, fractions."""
    x, y, w, h = box
    c, s = np.cos(np.radians(level)), np.sin(np.radians(level))
    points = np.array([(x, y), (x + w, y), (x, y + h), (x + w, y + h)]) - 0.5
    across, down = points[:, 0] * aspect, points[:, 1]
    return np.stack([(across * c - down * s) / aspect + 0.5, across * s + down * c + 0.5], axis=1)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ASPECTS, SHARES, UNIT, UNIT, LEVELS)
def test_a_crop_lies_on_the_frame_has_its_aspect_and_its_share(aspect, share, x, y, level):
    frame = FRAMES[0]
    wish = CropWish(x=x, y=y, share=share, level=level)
    table, whole = crop_by_hand(frame, aspect, wish), crop_by_hand(frame, aspect, CropWish(share=1, level=level))
    box = table.box[0]
    assert box[2] * frame.aspect / box[3] == pytest.approx(aspect)
    assert box[3] / whole.box[0, 3] == pytest.approx(share)
    assert table.level[0] == level
    assert (box[:2] >= -1e-9).all()
    assert (box[:2] + box[2:] <= 1 + 1e-9).all()
    inside = corners(box, level, frame.aspect)
    assert inside.min() >= -1e-9
    assert inside.max() <= 1 + 1e-9
    assert table.pixels[0].tolist() == np.floor(box[2:] * (frame.width, frame.height) + 1e-6).tolist()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ASPECTS, st.floats(0.1, 0.4), LEVELS)
def test_where_there_is_room_it_lies_where_it_was_put_and_stays_when_put_there_again(aspect, share, level):
    table = crop_by_hand(FRAMES[0], aspect, CropWish(x=0.52, y=0.49, share=share, level=level))
    middle = table.box[0, :2] + table.box[0, 2:] / 2
    assert middle == pytest.approx((0.52, 0.49))
    again = crop_by_hand(FRAMES[0], aspect, CropWish(x=middle[0], y=middle[1], share=share, level=level))
    assert again.box[0] == pytest.approx(table.box[0])


def test_others_keep_their_crops_and_a_frame_without_a_wish_its_own():
    table = cut_crops(FRAMES, (1.5,))
    framed = framed_by_hand(table, FRAMES, (Cut(1.5),), {1: CropWish(x=0.4, y=0.4, share=0.6)})
    assert framed_by_hand(table, FRAMES, (Cut(1.5),), {}) is table
    for row in (0, 2, 3):
        assert framed.box[framed.frame == row] == pytest.approx(table.box[table.frame == row])
    assert (framed.frame == 1).sum() == 1
    assert framed.keeps[framed.frame == 1].all()


def test_a_level_alone_leaves_the_place_and_the_size_to_measures():
    framed = framed_by_hand(cut_crops(FRAMES, (1.5,)), FRAMES, (Cut(1.5),), {2: CropWish(level=1.5)})
    rows = framed.frame == 2
    assert set(framed.level[rows]) == {1.5}
    assert set(framed.tilt[rows]) == {0}
    assert len(set(framed.linear[rows])) > 1
