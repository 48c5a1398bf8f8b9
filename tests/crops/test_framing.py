"""Framing: whole heads and groups, standing figures, details that run through their frame, boxes that are too large."""

import numpy as np
import pytest

from setsolver.crops.columns import FACES, stack_frames
from setsolver.crops.framing import judge, scenery_of
from setsolver.crops.renditions import cut_crops, keeps_subject
from setsolver.domain.geometry import Box, parse_aspect
from setsolver.domain.measures import ScaleOdds
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
