"""The picture of a wall: everything in its place, to scale."""

import numpy as np
import pytest

from setsolver.render.wall import Hanging, Rect, WallView, draw_wall

RED = np.zeros((40, 60, 3), np.uint8) + np.array([200, 20, 30], np.uint8)


def reds(picture):
    """Rows and columns that hold the print."""
    red = (picture[..., 0].astype(int) - picture[..., 1]) > 120
    return np.flatnonzero(red.any(axis=1)), np.flatnonzero(red.any(axis=0))


def test_a_print_lies_where_the_plan_has_it():
    picture = draw_wall(WallView(240, 120), [Hanging(RED, Rect(60, 30, 30, 20))])
    assert picture.shape == (1200, 2400, 3)  # 10 pixels to a centimetre
    rows, columns = reds(picture)
    assert (rows[0], rows[-1] + 1) == (300, 500)
    assert (columns[0], columns[-1] + 1) == (600, 900)


def test_mount_and_frame_lie_around_it():
    picture = draw_wall(WallView(240, 120, mount=5, frame=2), [Hanging(RED, Rect(60, 30, 30, 20))])
    assert (picture[400, 575] > 240).all()  # 2.5 cm to the left: mount
    assert (picture[400, 540] < 80).all()  # 6 cm: frame
    assert (picture[400, 500] > 200).all()  # 10 cm: wall


def test_the_shadow_falls_to_the_right_and_down():
    picture = draw_wall(WallView(240, 120), [Hanging(RED, Rect(60, 30, 30, 20))]).astype(int)
    assert picture[400, 910, 0] < picture[400, 590, 0] - 20
    assert picture[510, 700, 0] < picture[290, 700, 0] - 20


def test_floor_and_things_are_drawn():
    picture = draw_wall(WallView(100, 60, 50, (Rect(10, 40, 30, 10),)), []).astype(int)
    assert picture[-5, 5, 0] < 160  # floor
    assert picture[(45 * 24), (20 * 24), 0] < 190  # what is kept clear
    assert picture[5, 5, 0] > 220  # wall


def test_pages_are_white_and_pictures_on_them_throw_no_shadow():
    page = Rect(5, 5, 30, 40)
    picture = draw_wall(WallView(70, 50, pages=(page, Rect(35, 5, 30, 40))), [Hanging(RED, Rect(10, 10, 15, 10))])
    scale = picture.shape[1] / 70
    beside = picture[round(15 * scale), round(26 * scale)]
    assert (beside > 245).all()


def test_a_page_has_an_edge_of_a_pixel_around_it():
    """At 24 pixels to a centimetre, the most there is: a page from 120 to 240 across, from 48 to 192 down."""
    picture = draw_wall(WallView(20, 10, pages=(Rect(5, 2, 5, 6),)), []).astype(int)
    assert picture.shape == (240, 480, 3)
    for row, column in ((100, 120), (100, 239), (48, 180), (191, 180)):
        assert (picture[row, column] < 130).all()
    for row, column in ((100, 121), (100, 238), (49, 180), (190, 180)):
        assert (picture[row, column] > 240).all()
    assert picture[100, 119, 0] > 200  # the wall, on the side that the light comes from


def test_the_wall_is_lit_from_above_and_the_floor_has_a_skirting_board_of_a_centimetre():
    picture = draw_wall(WallView(20, 12, 10), []).astype(int)  # 24 pixels to a centimetre
    assert picture[0, :, 0].mean() == pytest.approx(226 * 1.02, abs=0.5)
    assert picture[9 * 24 - 2, :, 0].mean() < 226
    assert (picture[9 * 24 + 1 : 10 * 24 - 1] > 240).all()
    assert picture[10 * 24 + 1, 5].tolist() == [139, 128, 116]
    out_of_sight = draw_wall(WallView(20, 12, 12), [])
    assert np.array_equal(out_of_sight, draw_wall(WallView(20, 12), []))


def test_a_print_beyond_the_wall_is_cut_not_wrapped():
    rows, columns = reds(draw_wall(WallView(100, 60), [Hanging(RED, Rect(90, 50, 30, 20))]))
    assert rows[0] == pytest.approx(50 * 24, abs=1)
    assert columns[0] == pytest.approx(90 * 24, abs=1)


def test_furniture_has_a_board_and_openings_have_jambs():
    things = Rect(10, 100, 60, 40), Rect(90, 20, 50, 60), Rect(160, 15, 30, 125)  # a bench, a window, a door
    picture = draw_wall(WallView(200, 150, 140, things), []).astype(int)
    scale = picture.shape[1] / 200
    bench, window, door = (picture[int(y * scale), int(x * scale)] for x, y in [(40, 130), (115, 50), (175, 100)])
    assert picture[int(101 * scale), int(40 * scale), 0] > bench[0] + 10  # the board is lighter than the front
    assert window[2] > window[0] + 8  # the pane is bluish
    jambs = picture[int(50 * scale), int(92.5 * scale)], picture[int(100 * scale), int(162 * scale)]
    assert all((jamb > 235).all() for jamb in jambs)
    assert door[0] < 190


def test_a_stair_is_drawn_below_its_noses():
    stair = ((0, 150), (0, 130), (40, 130), (40, 110), (80, 110), (80, 90), (120, 90))
    picture = draw_wall(WallView(200, 150, 150, stair=stair), []).astype(int)
    scale = picture.shape[1] / 200
    below, above = picture[int(140 * scale), int(60 * scale), 0], picture[int(60 * scale), int(60 * scale), 0]
    assert below < 170
    assert above > 200
    assert picture[int(100 * scale), int(100 * scale), 0] < 170
    assert picture[int(100 * scale), int(20 * scale), 0] > 200
