"""Faces on a real portrait (scikit-image's astronaut), and facing from landmarks."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.geometry import WHOLE, Box
from setsolver.features import faces as module
from setsolver.features.edges import BlurMap, blur_of
from setsolver.features.faces import facing, find_faces
from setsolver.features.sight import FEATURES, Sight
from setsolver.features.views import make_views

FACE = np.array([[-30.0, -30.0], [30.0, -30.0], [0.0, 5.0], [-20.0, 35.0], [20.0, 35.0]])
"""Landmarks of an upright face seen from the front: eyes, nose, mouth corners; pixels."""


def faces_of(rgb, models):
    views = make_views(np.ascontiguousarray(rgb))
    return find_faces(views, models.faces, BlurMap(views.grey))


def test_the_astronaut_has_one_face_where_it_is(astronaut, models):
    (face,) = faces_of(astronaut, models)
    assert face.box.overlap(type(face.box)(0.35, 0.12, 0.18, 0.27)) > 0.7 * face.box.area
    assert face.score >= 0.8
    assert face.sharpness > 0.4
    assert {type(side) for side in (face.box.x, face.box.y, face.box.w, face.box.h)} == {float}


@pytest.mark.parametrize("size", [320, 640, 1280])
def test_a_face_that_fills_the_frame_is_found(astronaut, models, size):
    close = cv2.resize(astronaut[40:220, 130:310], (size, size), interpolation=cv2.INTER_CUBIC)
    assert len(faces_of(close, models)) == 1


def test_mirroring_turns_the_facing_round(astronaut, models):
    turned = {"left": "right", "right": "left", "front": "front"}
    (face,), (mirrored,) = faces_of(astronaut, models), faces_of(astronaut[:, ::-1], models)
    assert mirrored.facing == turned[face.facing]
    assert mirrored.box.centre[0] == pytest.approx(1 - face.box.centre[0], abs=0.03)


@pytest.mark.parametrize(("left", "top"), [(0, 0), (700, 300), (390, 130)])
def test_a_face_is_found_in_its_part_as_in_the_whole(astronaut, models, monkeypatch, left, top):
    scene = cv2.GaussianBlur(np.random.default_rng(0).integers(60, 190, (853, 1280, 3), dtype=np.uint8), (0, 0), 9)
    scene[top : top + 512, left : left + 512] = astronaut
    (part,) = faces_of(scene, models)
    monkeypatch.setattr(module, "_ROOM", 2000)
    (whole,) = faces_of(scene, models)
    assert part.box == pytest.approx(whole.box, abs=0.005)
    assert (part.facing, part.score) == (whole.facing, pytest.approx(whole.score, abs=0.02))


def test_no_face_in_noise(models):
    assert faces_of(np.random.default_rng(0).integers(0, 256, (300, 400, 3), dtype=np.uint8), models) == ()


@given(st.floats(-25, 25), st.floats(0.3, 8))
def test_facing_follows_the_nose_in_tilted_heads_of_any_size(tilt, size):
    turn = np.array(
        [[np.cos(np.radians(tilt)), -np.sin(np.radians(tilt))], [np.sin(np.radians(tilt)), np.cos(np.radians(tilt))]]
    )
    for shift, expected in ((-20.0, "left"), (0.0, "front"), (20.0, "right")):
        points = FACE + np.array([[0, 0], [0, 0], [shift, 0], [0, 0], [0, 0]])
        assert facing(size * points @ turn.T + 300) == expected


def test_a_full_profile_faces_its_nose():
    profile = FACE * (0.1, 1.0)
    profile[2, 0] = 30.0
    assert facing(profile) == "right"
    assert facing(profile * (-1, 1)) == "left"


@pytest.mark.parametrize(
    ("found", "box"),
    [
        ((-0.1, 0.2, 0.3, 0.4), (0.0, 0.2, 0.2, 0.4)),
        ((0.2, -0.1, 0.4, 0.3), (0.2, 0.0, 0.4, 0.2)),
        ((0.9, 0.8, 0.3, 0.4), (0.9, 0.8, 0.1, 0.2)),
    ],
)
def test_a_face_that_runs_out_of_the_frame_ends_with_it(found, box):
    row = np.array([*found, *[0.5, 0.5] * 5, 0.9])
    assert module._face(row, BlurMap(np.zeros((60, 90), np.uint8))).box == pytest.approx(box)


def detection(x, y, w, h, score=0.9, nose=0.0):
    """One row of a detector in pixels: a face whose nose lies off its middle by a share of its width."""
    marks = [x + 0.3 * w, y + 0.3 * h, x + 0.7 * w, y + 0.3 * h, x + (0.5 + nose) * w, y + 0.55 * h,
             x + 0.35 * w, y + 0.8 * h, x + 0.65 * w, y + 0.8 * h]  # fmt: skip
    return [x, y, w, h, *marks, score]


class Detector:
    """Says what it is told to of a picture of each size, and remembers which it was asked about."""

    def __init__(self, **rows):
        self.rows, self.asked = rows, []

    def __call__(self, rgb):
        """Look at a picture."""
        self.asked.append(rgb.shape[:2])
        name = f"of_{rgb.shape[1]}_{rgb.shape[0]}"
        return np.array(self.rows.get(name, np.zeros((0, 15))), np.float32).reshape(-1, 15)


def test_the_part_that_is_suspected_has_room_and_begins_on_the_networks_grid():
    """By hand, of 600 x 400: 300 - 96 = 204 begins at 192, 200 - 96 = 104 at 96; it ends at 360 + 96 and 240 + 96."""
    rgb, found = np.zeros((400, 600, 3), np.uint8), np.zeros((2, 15))
    found[0, :4] = 0.5, 0.5, 0.05, 0.1
    found[1, :4] = 0.55, 0.5, 0.05, 0.05
    assert module._suspicious(found, rgb) == pytest.approx(Box(192 / 600, 96 / 400, 264 / 600, 240 / 400))
    found[0, :4], found[1, :4] = (-0.02, 0.1, 0.1, 0.1), (0.8, 0.8, 0.1, 0.18)
    assert module._suspicious(found, rgb) == pytest.approx(WHOLE)


def test_what_is_found_in_a_part_is_told_in_fractions_of_the_frame():
    rgb = np.zeros((400, 600, 3), np.uint8)
    detector = Detector(of_300_100=[detection(30, 20, 60, 40)])
    (row,) = module._detect(rgb, Box(0.25, 0.5, 0.5, 0.25), detector)
    expected = detection(180, 220, 60, 40)
    assert row[0::2][:7] * 600 == pytest.approx(expected[0:14:2])
    assert row[1::2][:7] * 400 == pytest.approx(expected[1:14:2])
    assert row[14] == pytest.approx(0.9)


@pytest.mark.parametrize(("shift", "faces"), [(42, 1), (44, 2)])
def test_two_boxes_are_one_face_from_four_tenths_over_union_on(shift, faces):
    """Boxes of 100 that lie 42 and 44 apart share 58 / 142 = 0.408 and 56 / 144 = 0.389 of their union."""
    rows = np.array([detection(0, 0, 1, 1, 0.85), detection(shift / 100, 0, 1, 1, 0.95)])
    kept = module._distinct(rows)
    assert [row[14] for row in kept] == [0.95, 0.85][:faces]


def test_faces_of_both_sizes_come_largest_first_once_each_and_only_the_sure_ones():
    views = make_views(np.zeros((800, 1280, 3), np.uint8))  # small 320 x 200, middle 640 x 400
    found_small = [detection(100, 60, 60, 60, 0.9), detection(10, 10, 20, 20, 0.3)]
    part = module._suspicious(np.array(found_small) / ([320, 200] * 7 + [1]), views.middle)
    height, width = round(part.h * 400), round(part.w * 640)
    corner = part.x * 640, part.y * 400
    again = [detection(200 - corner[0], 120 - corner[1], 120, 122, 0.95), detection(8, 8, 30, 30, 0.79)]
    again += [detection(300, 10, 40, 40, 0.8001, nose=0.15)]
    detector = Detector(of_320_200=found_small, **{f"of_{width}_{height}": again})
    faces = find_faces(views, detector, BlurMap(views.grey))
    assert detector.asked == [(200, 320), (height, width)]
    assert [face.score for face in faces] == pytest.approx([0.95, 0.8001])
    assert [face.facing for face in faces] == ["front", "right"]
    nothing = Detector()
    assert find_faces(views, nothing, BlurMap(views.grey)) == ()
    assert nothing.asked == [(200, 320)]  # where nothing is suspected nothing more is looked at


@pytest.mark.parametrize(("offset", "told"), [(0.17, "front"), (0.19, "right"), (-0.17, "front"), (-0.19, "left")])
def test_a_nose_off_by_eighteen_hundredths_of_the_eyes_distance_looks_aside(offset, told):
    """Eyes 60 apart; where they lie closer than half of the 65 down to the mouth, that half counts."""
    for eyes, breadth in ((30.0, 60.0), (10.0, 32.5)):
        points = FACE.copy()
        points[:2, 0] = -eyes, eyes
        points[2, 0] = offset * breadth
        assert facing(points) == told


def test_the_middle_of_a_face_is_six_tenths_its_eyes():
    """A mouth that lies 30 to the right tilts the axis by 24.8 degrees; the nose on that axis at its share is front."""
    points = FACE + np.array([[0, 0], [0, 0], [0, 0], [30, 0], [30, 0]])
    points[2] = 0.6 * points[:2].mean(axis=0) + 0.4 * points[3:].mean(axis=0)
    assert facing(points) == "front"
    along = np.array([65, -30]) / np.hypot(65, 30)
    breadth = 60 * along[0]
    for share, told in ((0.175, "front"), (0.185, "right"), (-0.175, "front"), (-0.185, "left")):
        moved = points.copy()
        moved[2] += share * breadth * along
        assert facing(moved) == told
    assert facing(np.zeros((5, 2))) == "front"


@pytest.mark.parametrize(("people", "looked"), [(0.0999, False), (0.1, True)])
def test_faces_are_looked_for_where_people_are_likely_enough(people, looked, models):
    class Head:
        def odds(self, embeddings):
            return np.array([[1 - people, people]])

    detector = Detector()
    sight = Sight(
        np.zeros((64, 64, 3), np.uint8), replace(models, people=Head(), faces=detector), {"embedding": np.zeros(1280)}
    )
    sight._made[blur_of] = BlurMap(np.zeros((64, 64), np.uint8))
    assert FEATURES["faces"](sight) == ()
    assert bool(detector.asked) == looked


def test_where_a_face_looks_is_told_in_pixels_not_in_shares_of_the_frame():
    """A tilted head that looks to the right; in a wide frame their shares are pressed together."""
    points = np.array([[114.0, 8.0], [162.0, 44.0], [129.0, 63.0], [83.0, 66.0], [115.0, 90.0]])
    for height, width in ((80, 240), (240, 240), (300, 200)):
        row = np.array([0.3, 0.1, 0.4, 0.8, *(points / (width, height)).ravel(), 0.9])
        assert module._face(row, BlurMap(np.zeros((height, width), np.uint8))).facing == "right"
