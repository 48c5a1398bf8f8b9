"""A wall on a photograph: against a camera whose picture of it is worked out by hand."""

import cv2
import numpy as np
import pytest

from setsolver.render.perspective import height_of, onto_photograph
from setsolver.render.wall import Hanging, Rect, WallView, hung_on

SIZE = (1200, 900)
RED = np.full((40, 60, 3), (200, 30, 30), np.uint8)


def camera(turn, tilt, focal=1100.0, away=400.0):
    """From points on a wall in centimetres (x right, y up) to pixels of a pinhole camera (X right, Y down, Z ahead)."""
    a, b = np.radians([turn, tilt])
    about_y = np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])

    def seen(points):
        points = np.atleast_2d(points)
        world = (
            np.stack([points[:, 0] - 150, 120 - points[:, 1], np.zeros(len(points))], axis=1) @ (about_x @ about_y).T
        )
        world[:, 2] += away
        return world[:, :2] / world[:, 2:] * focal + np.array(SIZE) / 2

    return seen


def marked(seen, left=40.0, bottom=50.0, width=200.0, height=130.0):
    right, top = left + width, bottom + height
    return [tuple(p) for p in seen([(left, top), (right, top), (right, bottom), (left, bottom)])]


@pytest.mark.parametrize(("turn", "tilt"), [(25, 8), (-30, 12), (10, -15), (0, 0)])
def test_the_height_of_a_marked_rectangle_is_told_by_perspective(turn, tilt):
    assert height_of(marked(camera(turn, tilt)), 200.0, SIZE) == pytest.approx(130.0, rel=1e-6)


def test_where_edges_run_together_one_way_only_nothing_is_told():
    assert height_of(marked(camera(25, 0)), 200.0, SIZE) is None


@pytest.mark.parametrize(("turn", "tilt"), [(25, 8), (0, 0), (-35, 5)])
def test_places_on_the_wall_are_where_the_camera_sees_them(turn, tilt):
    seen = camera(turn, tilt)
    change = onto_photograph(marked(seen), 40.0, 50.0, 200.0, 130.0)
    points = np.array([[0.0, 0.0], [123.0, 77.0], [300.0, 240.0], [10.0, 200.0]])
    ours = cv2.perspectiveTransform(points[None], change)[0]
    assert np.abs(ours - seen(points)).max() < 0.02


def test_a_print_lies_on_the_photograph_where_its_place_on_the_wall_is():
    seen = camera(25, 8)
    wall = np.full((*SIZE[::-1], 3), 180, np.uint8)
    change = onto_photograph(marked(seen), 40.0, 50.0, 200.0, 130.0) @ np.array([[1, 0, 0], [0, -1, 240], [0, 0, 1.0]])
    picture = hung_on(wall, change, WallView(300, 240, mount=3, frame=2), [Hanging(RED, Rect(120, 90, 60, 40))])
    assert picture.shape == wall.shape
    red = (picture[..., 0].astype(int) - picture[..., 1]) > 120
    rows, columns = np.nonzero(red)
    corners = seen([(120, 150), (180, 150), (180, 110), (120, 110)])
    outline = cv2.contourArea(corners.astype(np.float32))
    assert red.sum() == pytest.approx(outline, rel=0.02)
    middle = cv2.moments(corners.astype(np.float32))
    assert columns.mean() + 0.5 == pytest.approx(middle["m10"] / middle["m00"], abs=0.5)
    assert rows.mean() + 0.5 == pytest.approx(middle["m01"] / middle["m00"], abs=0.5)
    x, y = np.rint(seen([(118.5, 130)])[0]).astype(int)
    assert (picture[y, x] > 235).all()  # mount
    x, y = np.rint(seen([(116, 130)])[0]).astype(int)
    assert (picture[y, x] < 90).all()  # frame
    assert (picture[:40] == 180).all()  # the photograph elsewhere is as it was


def test_a_print_throws_its_shadow_onto_the_photograph_and_nothing_else_changes():
    """Light comes from above on the left, as on a drawn wall: the wall grows darker below and on the right only."""
    wall = np.full((300, 400, 3), 180, np.uint8)
    wall[:5], wall[-5:] = 0, 255  # black and white stay what they are
    change = np.array([[4.0, 0, 0], [0, 4.0, 0], [0, 0, 1]])  # 4 pixels to a centimetre, no perspective
    picture = hung_on(wall, change, WallView(100, 75), [Hanging(RED, Rect(30, 20, 40, 30))]).astype(int)
    assert picture[204, 240, 0] < 170  # a centimetre below the print
    assert picture[140, 284, 0] < 170  # a centimetre to its right
    assert picture[5:-5].max() <= 200
    far = np.ones(wall.shape[:2], bool)
    far[60:260, 100:340] = False
    assert (picture[far] == wall[far]).all()
