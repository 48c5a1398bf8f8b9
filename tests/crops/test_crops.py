"""Crops: always on the frame, about the subject, with room for a face, off an even horizon."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.crops.attention import running_sums, shares
from setsolver.crops.canvas import crop_height, crops_at, turn_attention, turn_boxes
from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.domain.measures import Tilt
from setsolver.rules import assemble
from tests.crops.plain import largest_crop, share_inside
from tests.rules.builders import make_brief, make_face, make_frame, make_snapshot

aspects = st.floats(0.4, 2.5)
angles = st.floats(-8.0, 8.0)
places = st.tuples(st.floats(-1, 1), st.floats(-1, 1))
column = np.atleast_1d


@given(aspects, angles, aspects, places, st.floats(0.3, 1.0))
def test_crops_at_any_place_lie_on_the_frame_and_on_the_canvas(aspect, angle, frame_aspect, place, linear):
    height = crop_height(aspect, column(angle), column(frame_aspect)) * linear
    box = Box(*crops_at(aspect, height, column(angle), column(frame_aspect), np.array([[place]]))[0, 0])
    corners = corners_on_frame(box, angle, frame_aspect)
    assert min(corners.min(), box.x, box.y) >= -1e-9
    assert max(corners.max(), box.right, box.bottom) <= 1 + 1e-9
    assert box.w * frame_aspect / box.h == pytest.approx(aspect)


@given(aspects, angles, aspects)
def test_the_largest_height_is_that_of_the_geometry(aspect, angle, frame_aspect):
    height = crop_height(aspect, column(angle), column(frame_aspect))
    assert height[0] == pytest.approx(largest_crop(aspect, angle, frame_aspect).h)


@given(angles, aspects, st.floats(0.1, 0.6), st.floats(0.1, 0.6))
def test_turned_boxes_go_where_the_geometry_says(angle, frame_aspect, x, y):
    box = Box(x, y, 0.2, 0.2)
    turned = turn_boxes(np.array([box]), column(angle), column(frame_aspect))[0]
    back = corners_on_frame(Box(turned[0] + 0.1, turned[1] + 0.1, 0, 0), angle, frame_aspect)[0]
    assert back == pytest.approx(box.centre)


def test_turned_attention_follows_the_boxes():
    grid = np.zeros((1, 16, 16))
    grid[0, 12, 13] = 1.0
    turned = turn_attention(grid, np.array([8.0]), np.array([1.5]))
    assert turned.sum() == pytest.approx(1.0)
    rows, columns = np.meshgrid(np.arange(16), np.arange(16), indexing="ij")
    centre = ((columns + 0.5) * turned[0]).sum() / 16, ((rows + 0.5) * turned[0]).sum() / 16
    wanted = turn_boxes(np.array([[13.5 / 16, 12.5 / 16, 0, 0]]), np.array([8.0]), np.array([1.5]))[0, :2]
    assert centre == pytest.approx(wanted, abs=0.02)


@given(st.integers(0, 1000), st.floats(0, 0.7), st.floats(0, 0.7), st.floats(0.05, 0.3), st.floats(0.05, 0.3))
def test_shares_of_attention_are_those_of_the_geometry(seed, x, y, w, h):
    grid = np.random.default_rng(seed).random((1, 16, 16))
    share = shares(running_sums(grid / grid.sum()), np.array([[[x, y, w, h]]]))[0, 0]
    assert share == pytest.approx(share_inside(grid[0], Box(x, y, w, h)), abs=1e-9)


def crop_of(frame, kind="largest", **brief):
    assembly = assemble(make_snapshot(frame), make_brief(size=1, **brief))
    return [rendition for rendition in assembly.renditions if rendition.kind == kind][-1].crop


def test_a_frame_at_the_sets_aspect_is_left_as_it_was_framed():
    assert crop_of(make_frame(0)) == pytest.approx((0, 0, 1, 1))


@pytest.mark.parametrize("x", [0.02, 0.35, 0.68])
def test_a_narrower_crop_goes_where_the_subject_is(x):
    subject = Box(x, 0.3, 0.3, 0.4)
    crop = crop_of(make_frame(0, subject=subject), aspect="1:1")
    assert subject.overlap(crop) == pytest.approx(subject.area)
    assert crop.h == pytest.approx(1)


@pytest.mark.parametrize("x", [0.42, 0.5, 0.58])
def test_where_a_sure_subject_is_safe_anywhere_the_crop_stays_in_the_middle(x):
    frame = make_frame(0, subject=Box(x - 0.05, 0.45, 0.1, 0.1), confidence=0.95)
    crop = crop_of(frame, aspect="1:1")
    assert crop.x + crop.w / 2 == pytest.approx(0.5, abs=0.04)


def test_a_guessed_subject_moves_no_crop_off_the_middle():
    heap = np.full((16, 16), 1.0)
    heap[:, :3] = 1.5
    frame = make_frame(0, subject=Box(0.0, 0.4, 0.3, 0.3), confidence=0.0, attention=heap / heap.sum())
    crop = crop_of(frame, aspect="1:1")
    assert crop.x + crop.w / 2 == pytest.approx(0.5, abs=0.06)


def test_a_sure_subject_cut_by_more_than_a_fifth_is_out_and_a_guessed_one_is_not():
    wide = Box(0.05, 0.3, 0.9, 0.4)
    sure, guessed = make_frame(0, subject=wide, confidence=0.8), make_frame(1, subject=wide, confidence=0.2)
    assembly = assemble(make_snapshot(sure, guessed), make_brief(size=1, aspect="1:1"))
    assert set(assembly.reasons) == {0}


def test_tighter_crops_hold_the_subject_with_air():
    subject = Box(0.6, 0.55, 0.2, 0.25)
    crop = crop_of(make_frame(0, subject=subject), "tighter")
    assert crop.h == pytest.approx(0.5)
    assert crop.x < subject.x - 0.02
    assert crop.right > subject.right + 0.02
    assert crop.bottom > subject.bottom + 0.02


def test_no_tighter_crop_that_would_look_cut_off():
    frame = make_frame(0, subject=Box(0.255, 0.3, 0.49, 0.4))  # would fill half the frame from side to side
    assembly = assemble(make_snapshot(frame), make_brief(size=1))
    assert [round(rendition.crop.h, 2) for rendition in assembly.renditions] == [1.0, 0.7]


def test_a_thing_that_fills_its_frame_has_details_but_a_guess_has_none():
    board, middle = Box(0.0, 0.1, 1.0, 0.7), np.full((16, 16), 1.0)
    middle[5:11, 5:11] = 12.0
    kinds = []
    for confidence in (0.9, 0.4):
        frame = make_frame(0, subject=board, confidence=confidence, attention=middle / middle.sum())
        assembly = assemble(make_snapshot(frame), make_brief(size=1))
        kinds.append([round(rendition.crop.h, 2) for rendition in assembly.renditions])
    assert kinds == [[1.0, 0.7, 0.5], [1.0]]


def test_no_tighter_crop_about_a_guessed_subject():
    assembly = assemble(make_snapshot(make_frame(0, confidence=0.1)), make_brief(size=1))
    assert [rendition.kind for rendition in assembly.renditions] == ["largest"]


@pytest.mark.parametrize(("facing", "side"), [("left", "right"), ("right", "left")])
def test_a_face_gets_room_to_look_into(facing, side):
    face = make_face(0.5, 0.4, 0.12, facing)
    frame = make_frame(0, faces=(face,), subject=Box(0.4, 0.2, 0.2, 0.6), attention=np.full((16, 16), 1 / 256))
    crop = crop_of(frame, aspect="1:1")
    across = (0.5 - crop.x) / crop.w
    assert (across > 0.52) if side == "right" else (across < 0.48)


def test_a_crop_that_can_choose_puts_the_horizon_off_the_middle():
    lopsided = np.full((16, 16), 1 / 256)
    lopsided[:, :4] *= 3
    frame = make_frame(
        0,
        size=(4000, 6000),
        subject=Box(0.4, 0.42, 0.2, 0.16),
        tilt=Tilt(0.0, 0.9, 0.5),
        attention=lopsided / lopsided.sum(),
    )
    crop = crop_of(frame)
    assert abs((0.5 - crop.y) / crop.h - 0.5) > 0.1


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(0.05, 0.2), st.sampled_from(["left", "right", "front"]))
def test_no_crop_ever_cuts_a_face(x, y, size, facing):
    face = make_face(x, y, size, facing)
    assembly = assemble(make_snapshot(make_frame(0, faces=(face,))), make_brief(size=1, aspect="4:3"))
    seen = face.box.overlap(Box(0, 0, 1, 1))
    for rendition in assembly.renditions:
        assert face.box.overlap(rendition.crop) >= 0.98 * seen - 1e-9


def test_passers_by_may_be_cut():
    main, small = make_face(0.3, 0.5, 0.2), make_face(0.97, 0.5, 0.03)
    crop = crop_of(make_frame(0, faces=(small, main), subject=Box(0.1, 0.2, 0.4, 0.7)), aspect="1:1")
    assert main.box.overlap(crop) == pytest.approx(main.box.area)
    assert small.box.overlap(crop) < small.box.area


def test_an_upright_frame_that_cannot_keep_its_subject_in_a_lying_crop_is_out_with_the_reason():
    tall = make_frame(0, size=(4000, 6000), subject=Box(0.2, 0.05, 0.6, 0.9), confidence=0.9)
    assembly = assemble(make_snapshot(tall, make_frame(1)), make_brief(size=1))
    assert assembly.ruled_out[0].says.startswith("1 frame would lose its subject or a face in a crop of 3:2")
    assert assembly.reasons == {0: "every crop of 3:2 would cut its subject or a face"}


def test_an_upright_frame_with_a_small_subject_serves():
    low = make_frame(0, size=(4000, 6000), subject=Box(0.3, 0.6, 0.4, 0.3), confidence=0.9)
    crop = crop_of(low)
    assert crop.w == pytest.approx(1)
    assert crop.bottom >= 0.9


def test_an_included_frame_is_cropped_even_through_its_subject_and_loses_points():
    tall = make_frame(0, path="a.jpg", size=(4000, 6000), subject=Box(0.2, 0.05, 0.6, 0.9), confidence=0.9)
    brief = make_brief(size=1, frames={"include": ["a.jpg"]})
    assembly = assemble(make_snapshot(tall, make_frame(1)), brief)
    assert 0 in assembly.problem.frame
    assert assembly.parts.gains["composition"][0, 1] < assembly.parts.gains["composition"][1, 1] - 0.2
