"""Subjects of painted pictures."""

import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Face
from setsolver.features.subject import find_subject
from setsolver.features.views import make_views

SOFT = np.zeros((8, 8), np.float32)


def red_spot(x: float, y: float, radius: float = 0.1) -> np.ndarray:
    rgb = np.full((400, 600, 3), 110, np.uint8)
    rows, columns = np.mgrid[:400, :600]
    rgb[np.hypot(columns - x * 600, rows - y * 400) < radius * 400] = (220, 40, 30)
    return rgb


@pytest.mark.parametrize(("x", "y"), [(0.5, 0.5), (0.3, 0.4), (0.7, 0.65)])
def test_a_lone_spot_is_the_subject(x, y):
    subject = find_subject(make_views(red_spot(x, y)), SOFT, ())
    spot = Box(x - 0.067, y - 0.1, 0.133, 0.2)
    assert spot.overlap(subject.box) > 0.8 * spot.area
    assert subject.box.area < 0.25
    assert subject.confidence > 0.5


def test_a_picture_without_anything_falls_back_on_the_centre():
    subject = find_subject(make_views(np.full((400, 600, 3), 90, np.uint8)), SOFT, ())
    assert subject.confidence < 0.1


def test_sharp_tiles_in_soft_surroundings_draw_attention():
    detail = SOFT.copy()
    detail[2:4, 4:6] = 0.9
    noise = np.random.default_rng(0).integers(100, 110, (400, 600, 3), dtype=np.uint8)
    subject = find_subject(make_views(noise), detail, ())
    assert subject.box.overlap(Box(0.5, 0.25, 0.25, 0.25)) > 0.04


def test_the_box_holds_every_face_of_size():
    faces = tuple(Face(Box(x, 0.3, 0.1, 0.15), 0.9, "front", 0.5) for x in (0.2, 0.7))
    subject = find_subject(make_views(red_spot(0.5, 0.5)), SOFT, faces)
    for face in faces:
        assert face.box.overlap(subject.box) == pytest.approx(face.box.area)
    assert subject.attention[4:8, 3:5].sum() > 0.1
