"""Faces on a real portrait (scikit-image's astronaut), and facing from landmarks."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.features import faces as module
from setsolver.features.edges import BlurMap
from setsolver.features.faces import facing, find_faces
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
