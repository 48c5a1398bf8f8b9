"""Measuring where a print lies: shifts of known size are found, and silence where nothing can be told."""

import cv2
import numpy as np
import pytest

from setsolver.colour.profile import srgb_curves
from setsolver.colour.toning import Toning
from setsolver.domain.geometry import Box
from setsolver.render.draw import drawn
from setsolver.render.original import Original
from setsolver.render.register import shift_of, squares_of
from setsolver.render.resample import Grid, grid_of
from setsolver.render.sharpen import PLAIN

AS_IS = Toning(np.array([0.0, 100.0]), np.array([0.0, 100.0]))


def textured(width=900, height=700):
    field = np.random.default_rng(3).uniform(0, 255, (height, width, 3)).astype(np.float32)
    field = cv2.GaussianBlur(field, (0, 0), 1.6)
    field = (field - field.mean()) / field.std() * 40 + 128
    return Original(np.clip(field, 0, 255).astype(np.uint8), (0, 0), width, height, srgb_curves(256))


def green(original, grid, toning=AS_IS):
    codes = (drawn(original, grid, toning, PLAIN)[..., 1] >> 8).astype(np.uint8)
    squares = squares_of(grid.width, grid.height)
    return {square: codes[square.top : square.bottom, square.left : square.right] for square in squares}


@pytest.mark.parametrize(
    ("angle", "scale", "off"),
    [(0.0, 1.0, 0.4), (0.0, 1.6, 0.0), (0.0, 1.6, 2.0), (2.5, 1.0, 0.0), (2.5, 1.0, 2.0), (2.5, 1.6, 0.4)],
)  # each two of them together
def test_a_shift_is_found_to_a_tenth_of_a_pixel(angle, scale, off):
    original = textured()
    size = round(720 / scale), round(560 / scale)
    grid = grid_of(Box(0.1, 0.1, 0.8, 0.8), angle, (900, 700), size)
    moved = grid._replace(
        origin=(grid.origin[0] + off * grid.across[0], grid.origin[1] + off * grid.across[1])
    )  # by so many columns of the print
    assert shift_of(green(original, moved), original, grid) == pytest.approx(off, abs=0.1)


def test_tone_does_not_count_as_a_shift():
    original = textured()
    grid = grid_of(Box(0.1, 0.1, 0.8, 0.8), 0.0, (900, 700), (720, 560))
    at = np.linspace(0, 100, 300)
    dark = Toning(at, at**1.3 / 100**0.3)
    assert shift_of(green(original, grid, dark), original, grid) < 0.1


def test_a_plain_field_tells_nothing():
    plain = Original(np.full((400, 600, 3), 90, np.uint8), (0, 0), 600, 400, srgb_curves(256))
    grid = grid_of(Box(0, 0, 1, 1), 0.0, (600, 400), (600, 400))
    assert shift_of(green(plain, grid), plain, grid) is None


@pytest.mark.parametrize("side", [None, "left", "top", "right", "bottom"])
def test_a_square_tells_where_all_that_it_needs_of_the_original_is_held_and_no_sooner(side):
    """It needs its own corners' pixels and two more around them; a part that lacks one row or column is too small."""
    original = textured()
    grid = Grid((90.0, 70.0), (1.0, 0.0), (0.0, 1.0), 300, 200)  # pixel for pixel
    tile, codes = next(iter(green(original, grid).items()))
    left, top = 90 + tile.left - 2, 70 + tile.top - 2
    right, bottom = 90 + tile.right + 3, 70 + tile.bottom + 3
    left, top, right, bottom = (
        left + (side == "left"), top + (side == "top"), right - (side == "right"), bottom - (side == "bottom")
    )  # fmt: skip
    part = Original(original.codes[top:bottom, left:right], (left, top), 900, 700, original.curves)
    found = shift_of({tile: codes}, part, grid)
    assert found is None if side else found < 0.1


def test_squares_are_nine_of_192_pixels_or_half_of_a_small_print():
    assert [tile[:] for tile in squares_of(600, 400)][::4] == [
        (0, 192, 0, 192),
        (104, 296, 204, 396),
        (208, 400, 408, 600),
    ]
    assert [tile[:] for tile in squares_of(300, 96)][:2] == [(0, 48, 0, 48), (0, 48, 126, 174)]
    assert squares_of(300, 95) == squares_of(95, 300) == ()


def test_a_tiny_print_tells_nothing():
    original = textured()
    grid = grid_of(Box(0, 0, 1, 1), 0.0, (900, 700), (60, 40))
    assert shift_of(green(original, grid), original, grid) is None


def glow(edge=1.5):
    """A dark wall with one bright opening, burnt out in its middle: one upright edge is all that a square sees."""
    across = np.arange(900)
    light = 225 / (1 + np.exp(-(across - 430) / edge)) + 30
    rows = np.random.default_rng(5).normal(0, 0.7, (700, 900)) + light
    field = np.repeat(np.clip(rows, 0, 255)[..., None], 3, axis=2)
    return Original(field.astype(np.uint8), (0, 0), 900, 700, srgb_curves(256))


@pytest.mark.parametrize("lift", [0.7, 1.0, 1.4])
@pytest.mark.parametrize("edge", [0.7, 1.5, 4.0])
def test_an_edge_that_the_tone_moves_is_not_a_picture_that_is_moved(edge, lift):
    """A brighter print grows its bright parts by parts of a pixel where an edge is soft: its place is the same."""
    original = glow(edge)
    grid = grid_of(Box(0.1, 0.1, 0.8, 0.8), 0.0, (900, 700), (720, 560))
    at = np.linspace(0, 100, 300)
    toning = Toning(at, np.minimum(100.0, at**lift / 100 ** (lift - 1) * 1.1))
    found = shift_of(green(original, grid, toning), original, grid)
    assert found is None or found < 0.1
