"""Framing: whole heads and groups, standing figures, details that run through their frame, boxes that are too large."""

import numpy as np
import pytest

from setsolver.crops.columns import FACES, stack_frames
from setsolver.crops.framing import AIR, Framing, judge, scenery_of
from setsolver.crops.renditions import keeps_subject
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.geometry import Box, parse_aspect
from setsolver.domain.measures import ScaleOdds, Tilt
from tests.rules.builders import make_attention, make_face, make_frame

ENDS = tuple(zip(np.linspace(0.05, 0.95, 13), 0.05 - 0.001 * np.arange(13), strict=True))
DETAIL, MEDIUM = ScaleOdds(0.01, 0.02, 0.97), ScaleOdds(0.01, 0.97, 0.02)
EVEN = np.full((16, 16), 1 / 256)


def marks_of(frame, box):
    columns = stack_frames([frame])
    return judge(scenery_of(columns, np.zeros(1)), np.array([[box]], dtype=float))


def kept(frame, aspect="1:1"):
    """Whether the frame's largest crop stays in."""
    return bool(largest(frame, aspect).keeps[0])


def largest(frame, aspect="1:1"):
    """The frame's largest crop at an aspect, as a table of one row."""
    return cut_crops((frame,), [parse_aspect(aspect)]).take(np.zeros(1, dtype=np.int64))


def test_a_head_is_more_than_its_face():
    frame = make_frame(0, faces=(make_face(0.5, 0.5, 0.2),))
    face = frame.measures.faces[0].box
    at_the_brow = marks_of(frame, (0, face.y, 1, 1 - face.y))
    assert at_the_brow.faces[0, 0] == pytest.approx(1.0)
    assert at_the_brow.heads[0, 0] == pytest.approx(1.15 / 1.45)  # 0.3 of 1.45 face heights are hair


def test_what_the_frame_itself_cuts_of_a_head_is_no_fault_of_the_crop():
    frame = make_frame(0, faces=(make_face(0.5, 0.13, 0.2),))  # its face begins at the very top
    assert marks_of(frame, (0, 0, 1, 0.6)).heads[0, 0] == pytest.approx(1.0)


def test_a_standing_figure_is_kept_to_its_feet_where_the_crop_can():
    face = make_face(0.5, 0.5, 0.06)
    frame = make_frame(
        0, size=(4000, 6000), faces=(face,), subject=Box(0.4, 0.38, 0.2, 0.25), attention=make_attention(face.box)
    )
    crop = Box(*largest(frame).box[0])
    assert crop.bottom >= face.box.y + 6.4 * face.box.h > 0.9  # a crop in the middle would end at 0.83
    assert crop.y < face.box.y


@pytest.mark.parametrize(("size", "share"), [(0.08, 0.5), (0.2, 1.0)])
def test_a_figure_taller_than_the_frame_is_none(size, share):
    frame = make_frame(0, faces=(make_face(0.5, 0.65 * size, size),))  # its face begins at the top
    down = 0.5 * 6.5 * frame.measures.faces[0].box.h
    assert marks_of(frame, (0, 0, 1, down)).figure[0, 0] == pytest.approx(share)


def test_a_crowd_is_kept_whole_by_its_outermost_faces():
    crowd = tuple(make_face(x, 0.5, size) for x, size in ENDS)
    columns = stack_frames([make_frame(0, faces=crowd)])
    boxes = columns.faces[0][~np.isnan(columns.faces[0, :, 0])]
    assert len(boxes) <= FACES
    assert boxes[:, 0].min() == pytest.approx(crowd[0].box.x)
    assert (boxes[:, 0] + boxes[:, 2]).max() == pytest.approx(crowd[-1].box.right)
    assert boxes[0] == pytest.approx(max(crowd, key=lambda face: face.box.area).box)


def test_a_crop_that_would_lose_the_end_of_a_group_is_out():
    group = tuple(make_face(x, 0.5, 0.05) for x in np.linspace(0.05, 0.95, 13))
    middle = Box(0.4, 0.4, 0.2, 0.2)
    assert not kept(make_frame(0, faces=group, subject=middle))
    assert kept(make_frame(0, faces=group[4:9], subject=middle))


@pytest.mark.parametrize(("scale", "stays"), [(DETAIL, True), (MEDIUM, False)])
def test_a_detail_that_runs_through_its_frame_may_be_cut_along_its_way(scale, stays):
    grain = make_frame(0, scale, subject=Box(0.0, 0.3, 1.0, 0.4), confidence=0.9, attention=EVEN)
    assert kept(grain, "4:5") is stays


def test_a_detail_that_runs_through_its_frame_is_not_cut_across():
    tall = make_frame(0, DETAIL, subject=Box(0.1, 0.0, 0.8, 1.0), confidence=0.9, attention=EVEN)
    assert not kept(tall, "2:3")


@pytest.mark.parametrize(("share", "stays"), [(0.99, True), (0.6, False)])
def test_a_box_that_is_too_large_shuts_out_no_crop_that_holds_nearly_all_attention(share, stays):
    attention = make_attention(Box(0.4, 0.3, 0.2, 0.4), share)
    frame = make_frame(0, subject=Box(0.02, 0.05, 0.96, 0.9), confidence=0.9, attention=attention)
    assert kept(frame) is stays


@pytest.mark.parametrize(("top", "stays"), [(0.2, True), (0.0, False)])
def test_a_crop_that_loses_the_top_of_a_subject_is_out_before_one_that_loses_its_foot(top, stays):
    tall = Box(0.3, top, 0.4, 0.8)
    low = make_frame(0, size=(4000, 6000), subject=tall, confidence=0.9, attention=EVEN)
    marks, columns = marks_of(low, (0.0, 0.14, 1.0, 0.86)), stack_frames([low])
    whole = keeps_subject(marks.pick(np.zeros(1, dtype=np.int64)), columns)
    assert bool(whole[0]) is stays


@pytest.mark.parametrize("side", ["left", "right", "above", "below"])
def test_the_least_air_of_four_sides_counts(side):
    # the subject spans 0.4 to 0.6 and 0.3 to 0.7; at one side a crop of 0.6 x 0.6 leaves a third of what is wanted
    third = 0.6 * AIR / 3
    x = {"left": 0.4 - third, "right": third}.get(side, 0.2)
    y = {"above": 0.3 - third, "below": 0.1 + third}.get(side, 0.2)
    frame = make_frame(0, subject=Box(0.4, 0.3, 0.2, 0.4))
    assert marks_of(frame, (x, y, 0.6, 0.6)).air[0, 0] == pytest.approx(1 / 3, abs=1e-6)


@pytest.mark.parametrize(
    ("subject", "box"),
    [
        (Box(0.7, 0.3, 0.3, 0.4), (0.3, 0.1, 0.7, 0.8)),
        (Box(0.0, 0.3, 0.3, 0.4), (0.0, 0.1, 0.7, 0.8)),
        (Box(0.3, 0.6, 0.3, 0.4), (0.1, 0.2, 0.8, 0.8)),
        (Box(0.3, 0.0, 0.3, 0.4), (0.1, 0.0, 0.8, 0.8)),
    ],
)
def test_where_the_subject_and_the_crop_end_with_the_frame_no_air_is_missed(subject, box):
    assert marks_of(make_frame(0, subject=subject), box).air[0, 0] == 1.0
    x, y, w, h = box
    inside = (max(x, 0.06), max(y, 0.06), min(x + w, 0.94) - max(x, 0.06), min(y + h, 0.94) - max(y, 0.06))
    assert marks_of(make_frame(0, subject=subject), inside).air[0, 0] == 0.0


@pytest.mark.parametrize(
    ("x", "facing", "room"),
    [
        (0.65, "left", 1),
        (0.5, "left", 0.5 / 0.65),
        (0.2, "left", 0.2 / 0.65),
        (0.8, "left", 1),
        (0.35, "right", 1),
        (0.5, "right", 0.5 / 0.65),
        (0.8, "right", 0.2 / 0.65),
        (0.1, "front", 1),
    ],
)
def test_room_is_full_where_a_face_stands_beyond_the_middle_by_a_seventh(x, facing, room):
    frame = make_frame(0, faces=(make_face(x, 0.5, 0.1, facing),))
    assert marks_of(frame, (0, 0, 1, 1)).room[0, 0] == pytest.approx(room)


@pytest.mark.parametrize(
    ("place", "mark"), [(0.5, 0), (1 / 3, 1), (2 / 3, 1), (0.5 + 1 / 12, 0.5), (0.9, 1), (None, 1)]
)
def test_a_horizon_counts_whole_from_the_thirds(place, mark):
    frame = make_frame(0, tilt=Tilt(0.0, 0.9, place), attention=np.tile(np.linspace(1, 3, 16), (16, 1)) / 512)
    assert marks_of(frame, (0, 0, 1, 1)).horizon[0, 0] == pytest.approx(mark)
    if place == 0.5:
        assert marks_of(frame, (0, 0.25, 1, 0.75)).horizon[0, 0] == pytest.approx(1)  # a third from the top there
        assert marks_of(frame, (0, 0.6, 1, 0.4)).horizon[0, 0] == 1  # none inside


def test_a_subject_that_nobody_is_sure_of_may_be_lost_from_above():
    frame = make_frame(0, confidence=0.1)
    columns = stack_frames([frame])
    ones = Framing(*(np.ones(1) for _ in Framing._fields))
    lost = ones._replace(subject=np.zeros(1), top=np.zeros(1), kept=np.zeros(1))
    assert keeps_subject(lost, columns).tolist() == [True]
    assert keeps_subject(lost, stack_frames([make_frame(0, confidence=0.9)])).tolist() == [False]
