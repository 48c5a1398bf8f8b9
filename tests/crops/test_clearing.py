"""Crops of pages: no head and no small subject in the fold or over the trimmed edge, by moving or by refusing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.crops import clearing
from setsolver.crops.clearing import harm
from setsolver.crops.columns import stack_frames
from setsolver.crops.framing import scenery_of
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.cut import Cut
from setsolver.domain.geometry import Box
from tests.rules.builders import make_face, make_frame

FOLD = Cut(2.0, (0.02, 0.04, 0.02, 0.04), (0.47, 0.53))
PAGE = Cut(1.0, (0.05, 0.05, 0.05, 0.05))


def harm_of(frame, box, cut):
    scenery = scenery_of(stack_frames([frame]), np.zeros(1))
    return float(harm(scenery, np.array([[box]], dtype=float), cut)[0, 0])


def test_a_face_in_the_fold_does_harm_and_beside_it_none():
    frame = make_frame(0, faces=(make_face(0.5, 0.5, 0.1),))
    assert harm_of(frame, (0, 0.125, 1, 0.75), FOLD) > 0.3
    assert harm_of(frame, (0, 0.125, 0.75, 0.75), FOLD._replace(strip=(0.4, 0.45))) == 0


def test_a_face_over_the_edge_does_harm():
    """By hand: the page keeps 0.05 to 0.95 of the crop; the head, a tenth wider at either side, ends at 0.99."""
    frame = make_frame(0, faces=(make_face(0.93, 0.5, 0.1),))
    assert harm_of(frame, (0, 0, 1, 1), PAGE) > 0.3
    assert harm_of(frame, (0, 0, 1, 1), Cut(1.0)) == 0


def test_a_small_sure_subject_counts_and_one_as_wide_as_the_picture_does_not():
    small = make_frame(0, subject=Box(0.44, 0.4, 0.12, 0.2), confidence=0.9)
    wide = make_frame(0, subject=Box(0.1, 0.3, 0.8, 0.4), confidence=0.9)
    assert harm_of(small, (0, 0, 1, 1), FOLD) > 0.3
    assert harm_of(wide, (0, 0, 1, 1), FOLD) == 0


def test_a_crop_is_moved_so_that_the_fold_misses_the_face():
    """Upright across two pages there is no room to move at full width; a smaller crop is shifted instead."""
    frame = make_frame(0, faces=(make_face(0.47, 0.4, 0.06),), subject=Box(0.42, 0.3, 0.12, 0.3))
    table = cut_crops((frame,), [FOLD])
    assert not table.keeps[0]
    assert table.keeps.any()
    for row in np.flatnonzero(table.keeps):
        assert harm_of(frame, tuple(table.box[row]), FOLD) == pytest.approx(0, abs=1e-9)


def test_a_picture_that_cannot_be_moved_is_refused():
    group = tuple(make_face(x, 0.5, 0.09) for x in (0.1, 0.26, 0.42, 0.5, 0.58, 0.74, 0.9))
    assert not cut_crops((make_frame(0, faces=group),), [FOLD]).keeps.any()


def test_a_crop_that_is_seen_whole_is_what_it_was():
    frames = tuple(make_frame(number, faces=(make_face(0.2 + 0.1 * number, 0.5, 0.1),)) for number in range(4))
    plain, cut = cut_crops(frames, [1.5]), cut_crops(frames, [Cut(1.5)])
    np.testing.assert_array_equal(plain.box, cut.box)
    np.testing.assert_array_equal(plain.keeps, cut.keeps)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(0.1, 0.9), st.floats(0.2, 0.8), st.floats(0.04, 0.15)), min_size=1, max_size=3))
def test_whatever_is_kept_has_every_head_on_one_page(faces):
    frame = make_frame(0, faces=tuple(make_face(*face) for face in faces))
    table = cut_crops((frame,), [FOLD])
    for row in np.flatnonzero(table.keeps):
        x, y, w, h = table.box[row]
        level = table.level[row]
        if level:
            continue
        for face in frame.measures.faces:
            box = face.box
            left, right = (box.x - x) / w, (box.right - x) / w
            assert right <= FOLD.strip[0] + 1e-6 or left >= FOLD.strip[1] - 1e-6
            assert (box.y - y) / h >= 0
            assert (box.bottom - y) / h <= 1


def test_each_margin_is_a_share_of_its_own_side_of_the_crop():
    """By hand: a crop of 0.6 by 0.5 loses 0.06 and 0.03 of the frame at its sides, 0.1 and 0.05 above and below."""
    within = clearing._within(np.array([[[0.1, 0.2, 0.6, 0.5]]]), Cut(1.0, (0.1, 0.2, 0.05, 0.1)))
    assert within[0, 0] == pytest.approx([0.16, 0.3, 0.51, 0.35])


def test_the_fold_is_a_strip_of_the_crop_from_top_to_bottom():
    """By hand: from 0.4 to 0.6 of a crop that begins at 0.1 and is 0.6 wide."""
    fold = clearing._fold(np.array([[[0.1, 0.2, 0.6, 0.5]]]), Cut(1.0, (0, 0, 0, 0), (0.4, 0.6)))
    assert fold[0, 0] == pytest.approx([0.34, 0.2, 0.12, 0.5])


def test_an_edge_that_trims_the_top_harms_a_head_at_the_top_alone():
    """A wide crop: what is trimmed above is a share of its height, not of its width."""
    frame = make_frame(0, faces=(make_face(0.5, 0.36, 0.1),))
    wide = (0.0, 0.25, 1.0, 0.5)
    assert harm_of(frame, wide, Cut(3.0, (0, 0.02, 0, 0))) == 0
    assert harm_of(frame, wide, Cut(3.0, (0, 0.2, 0, 0))) > 0.3
    assert harm_of(frame, wide, Cut(3.0, (0, 0, 0, 0.2))) == 0
