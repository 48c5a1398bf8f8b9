"""What is cut at the edge: faces, by a crop or by the frame; room above heads; sides that a subject runs out of."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.crops.attention import running_sums
from setsolver.crops.columns import EVERYONE, stack_frames
from setsolver.crops.cutting import CROSSED, figure_marks, free_sides, headroom, people_whole, top_kept
from setsolver.domain.geometry import Box
from tests.rules.builders import make_face, make_frame

WHOLE = (0.0, 0.0, 1.0, 1.0)
LEFT = (0.0, 0.0, 0.5, 1.0)


def everyone(*faces):
    return stack_frames([make_frame(0, faces=faces)]).everyone


def people(box, *faces):
    return people_whole(everyone(*faces), np.array([[box]]))[0, 0]


def test_a_face_in_halves_is_the_worst_and_one_left_out_is_no_fault():
    assert people(LEFT, make_face(0.5, 0.5)) == pytest.approx(0)
    assert people(LEFT, make_face(0.25, 0.5)) == pytest.approx(1)
    assert people(LEFT, make_face(0.75, 0.5), make_face(0.25, 0.5)) == pytest.approx(1)
    assert people(LEFT) == 1


def test_the_frame_itself_cuts_a_face_that_ends_with_it():
    at_the_edge = make_face(0.05, 0.5)  # 0.1 wide: its box begins at 0
    assert people(WHOLE, at_the_edge) == pytest.approx(0)
    assert people((0.2, 0.0, 0.8, 1.0), at_the_edge) == pytest.approx(1)


@pytest.mark.parametrize(("size", "mark"), [(0.2, 0), (0.1, 0), (0.05, 0.5)])
def test_a_face_counts_by_its_size_against_the_largest(size, mark):
    assert people(LEFT, make_face(0.25, 0.5, 0.2), make_face(0.5, 0.5, size)) == pytest.approx(mark)


def test_nobody_minds_who_is_cut_at_the_end_of_a_crowd():
    crowd = [make_face(x, 0.5, 0.01) for x in (0.1, 0.2, 0.3, 0.4, 0.5)]
    assert people(LEFT, *crowd) > 0.7


def test_the_largest_faces_are_kept_in_mind():
    crowd = [make_face(0.02 + 0.06 * k, 0.5, 0.01 + 0.001 * k) for k in range(15)]
    found = everyone(*crowd)
    assert found.shape == (1, EVERYONE, 4)
    assert found[0, 0] == pytest.approx(crowd[-1].box)


def test_room_above_a_face_is_for_its_hair():
    face = make_face(0.5, 0.5, 0.2)  # 0.26 high, from 0.37
    tops = (0.37, 0.37 - 0.3 * 0.26, 0.37 - 0.6 * 0.26, 0.0)
    boxes = np.array([[(0.0, top, 1.0, 1 - top) for top in tops]])
    assert headroom(everyone(face), boxes)[0] == pytest.approx([0, 0.5, 1, 1])
    assert headroom(everyone(), boxes)[0] == pytest.approx([1, 1, 1, 1])


@pytest.mark.parametrize(
    ("subject", "sure", "share"),
    [
        (Box(0.3, 0.3, 0.4, 0.4), 0.9, 1),
        (Box(0.0, 0.3, 0.4, 0.4), 0.9, 0.75),
        (Box(0.0, 0.0, 1.0, 1.0), 0.9, 0),
        (Box(0.0, 0.0, 1.0, 1.0), 0.3, 0.5),
        (Box(0.0, 0.0, 1.0, 1.0), 0.0, 1),
    ],
)
def test_sides_that_a_subject_runs_out_of(subject, sure, share):
    assert free_sides(np.array([subject]), np.array([sure]), np.array([[WHOLE]]))[0, 0] == pytest.approx(share)


def test_what_lies_above_the_crop_is_lost_of_a_subject():
    subject = np.array([Box(0.3, 0.2, 0.4, 0.4)])
    boxes = np.array([[(0, top, 1, 0.3) for top in (0.0, 0.2, 0.3, 0.7)]])
    assert top_kept(subject, boxes)[0] == pytest.approx([1, 1, 0.75, 0])


def figures(box, *spots):
    """Marks of a crop of a frame in which people fill spots, each in fractions of the frame."""
    chances = np.zeros((1, 14, 14))
    for x, y, w, h in spots:
        chances[0, round(14 * y) : round(14 * (y + h)), round(14 * x) : round(14 * (x + w))] = 1
    return [mark[0, 0] for mark in figure_marks(running_sums(chances), np.array([[box]]))]


BACK = (4 / 14, 4 / 14, 4 / 14, 8 / 14)
"""Somebody seen from behind, in the middle."""


def test_who_stands_across_the_border_is_cut_and_who_stands_beside_it_is_not():
    assert figures((0.0, 0.0, 0.9, 1.0), BACK) == pytest.approx([1, 1, 1])
    through, kept, _ = figures((6 / 14, 0.0, 8 / 14, 1.0), BACK)
    assert through == pytest.approx(max(0, 1 - (8 / 14) / CROSSED))
    assert kept == pytest.approx(0.5)
    assert figures((8 / 14, 0.0, 6 / 14, 1.0), BACK) == pytest.approx([1, 0, 1])
    assert figures((4 / 14, 0.0, 10 / 14, 1.0), BACK) == pytest.approx([1, 1, 1])


def test_feet_may_be_cut_before_a_head():
    one = (4 / 14, 4 / 14, 1 / 14, 8 / 14)
    head, feet = figures((0.0, 5 / 14, 1.0, 9 / 14), one)[0], figures((0.0, 0.0, 1.0, 9 / 14), one)[0]
    assert head == pytest.approx(1 - (1 / 14) / CROSSED)
    assert feet == pytest.approx(1 - 0.3 * (1 / 14) / CROSSED)


def test_the_frame_itself_may_cut_somebody_and_the_crop_is_not_blamed():
    whole, kept, clear = figures(WHOLE, (0.0, 4 / 14, 3 / 14, 7 / 14))
    assert (whole, kept) == (1, pytest.approx(1))
    assert clear == pytest.approx(0.5)
    assert figures(WHOLE, (4 / 14, 7 / 14, 3 / 14, 7 / 14)) == pytest.approx([1, 1, 1])  # ends at the bottom


def test_where_nobody_is_or_nothing_was_told_all_is_well():
    assert figures(LEFT) == [1, 1, 1]
    assert stack_frames([make_frame(0)]).figures.max() == 0


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0.01, 0.5)), max_size=4), st.floats(0, 0.6))
def test_marks_stay_between_nothing_and_all(places, x):
    found = everyone(*(make_face(*place) for place in places))
    boxes = np.array([[(x, 0.1, 0.4, 0.7)]])
    for mark in (people_whole(found, boxes), headroom(found, boxes)):
        assert 0 <= mark[0, 0] <= 1
    for mark in figures((x, 0.1, 0.4, 0.7), *((left, top, 0.3, 0.3) for left, top, _ in places)):
        assert 0 <= mark <= 1
