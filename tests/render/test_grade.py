"""The quick way from light to codes, held to the plain one."""

import numpy as np
import pytest

from setsolver.colour.lab import lab_to_srgb, linear_to_lab, srgb_to_lab
from setsolver.colour.toning import Toning, toned
from setsolver.render.encode import to_connection_space
from setsolver.render.grade import Grade, shown
from setsolver.render.room import Room
from setsolver.render.save import to_steps
from setsolver.render.sharpen import PLAIN, Sharpening, sharpened
from tests.render.plain import to_srgb16

AT = np.linspace(0, 100, 2048)
TONINGS = {
    "as it is": Toning(AT, AT),
    "cast": Toning(AT, np.clip(AT * 0.9 + 4, 0, 100), cast=(2.0, -3.0), centre=(4.0, 9.0)),
    "chroma": Toning(AT, AT**1.1 / 100**0.1, cast=(-1.0, 0.5), chroma=1.3),
    "mono": Toning(AT, np.clip(AT + 3, 0, 100), cast=(2.0, 2.0), mono=True),
}
P3 = np.array([[1.2249, -0.2247, 0.0], [-0.0420, 1.0421, 0.0], [-0.0197, -0.0786, 1.0979]])
"""Linear Display P3 to sRGB (CSS Color 4, sample code; from memory)."""


def light():
    """Light with deep shadows, greys, strong colours, and some of it beyond 0 to 1."""
    field = np.random.default_rng(0).uniform(-0.02, 1.1, (60, 80, 3)) ** 1
    field[:20] = np.abs(field[:20]) ** 4
    field[40:, :, 1:] = field[40:, :, :1]
    return np.ascontiguousarray(field, dtype=np.float32)


def plain(matrix, toning, sharpening):
    lab = linear_to_lab((light() @ matrix.T).astype(np.float32))
    return sharpened(toned(lab, toning), sharpening)


def graded(grade):
    """The codes of the light, put into a larger print."""
    height, width = (side - 2 * grade.margin for side in light().shape[:2])
    result = np.zeros((height + 5, width + 9, 3), grade.dtype)
    grade.codes(np.ascontiguousarray(np.moveaxis(light(), 2, 0)), Room(), result, 2, 4)
    assert not result[:2].any()
    assert not result[:, :4].any()
    assert not result[:, width + 4 :].any()
    return result[2 : height + 2, 4 : width + 4].astype(int)


@pytest.mark.parametrize("sharpening", [PLAIN, Sharpening(0.8)], ids=["plain", "sharpened"])
@pytest.mark.parametrize("matrix", [np.eye(3), P3], ids=["srgb", "p3"])
@pytest.mark.parametrize("name", TONINGS)
def test_codes_are_those_of_the_plain_way(name, matrix, sharpening):
    ours = graded(Grade(matrix, TONINGS[name], sharpening, "srgb"))
    theirs = to_srgb16(plain(matrix, TONINGS[name], sharpening)).astype(int)
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).max() <= 40  # of 65535: a sixth of a step of 8 bits


@pytest.mark.parametrize("name", TONINGS)
def test_eight_bits_are_the_nearest_to_sixteen(name):
    """Code k of 255 is 257 k of 65535 (IEC 61966-2-1 has both)."""
    eight, sixteen = (graded(Grade(P3, TONINGS[name], Sharpening(0.8), space)) for space in ("srgb8", "srgb"))
    assert np.abs(eight - sixteen / 257).max() <= 0.51  # halves of a step of 16 bits more, which is rounded itself
    assert len(np.unique(eight)) > 200


@pytest.mark.parametrize("name", TONINGS)
def test_steps_are_those_of_the_plain_way(name):
    ours = graded(Grade(np.eye(3), TONINGS[name], Sharpening(0.6), "d50"))
    theirs = to_steps(to_connection_space(plain(np.eye(3), TONINGS[name], Sharpening(0.6)))).astype(int)
    assert np.abs(ours[..., 0] - theirs[..., 0]).max() <= 8  # a fortieth of L*
    assert np.abs(ours[..., 1:] - theirs[..., 1:]).max() <= 26  # a tenth of a*, b*


@pytest.mark.parametrize("name", TONINGS)
def test_a_small_picture_is_shown_as_the_plain_way_shows_it(name):
    lab = srgb_to_lab(np.random.default_rng(1).integers(0, 256, (40, 50, 3), dtype=np.uint8))
    ours, theirs = shown(lab, TONINGS[name]).astype(int), lab_to_srgb(toned(lab, TONINGS[name])).astype(int)
    assert np.abs(ours - theirs).max() <= 1
    assert (ours == theirs).mean() > 0.99


def test_white_takes_no_ink_and_black_all_of_it():
    """The ends of a tone are the ends of its codes (ICC.1:2022, 6.3.4.2: L* 100 is the greatest code)."""
    for space, white in (("srgb", [65535] * 3), ("srgb8", [255] * 3), ("d50", [32767, 0, 0])):
        grade = Grade(np.eye(3), TONINGS["as it is"], PLAIN, space)
        ends = np.zeros((3, 2, 4), np.float32)
        ends[:, 1] = 1.0
        result = np.zeros((2, 4, 3), grade.dtype)
        grade.codes(ends, Room(), result, 0, 0)
        assert np.abs(result[1].astype(int) - white).max() <= (2 if space == "d50" else 0)
        assert result[1, :, 0].tolist() == [white[0]] * 4
        assert np.abs(result[0].astype(int)).max() <= 2
