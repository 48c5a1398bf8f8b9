"""The quick way from light to codes, held to the plain one."""

import numpy as np
import pytest

from setsolver.colour.lab import linear_to_lab
from setsolver.colour.toning import Toning, toned
from setsolver.render.encode import to_connection_space, to_srgb16
from setsolver.render.grade import Grade
from setsolver.render.save import to_steps
from setsolver.render.sharpen import PLAIN, Sharpening, sharpened

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


@pytest.mark.parametrize("sharpening", [PLAIN, Sharpening(0.8)], ids=["plain", "sharpened"])
@pytest.mark.parametrize("matrix", [np.eye(3), P3], ids=["srgb", "p3"])
@pytest.mark.parametrize("name", TONINGS)
def test_codes_are_those_of_the_plain_way(name, matrix, sharpening):
    ours = Grade(matrix, TONINGS[name], sharpening, "srgb").codes(light()).astype(int)
    theirs = to_srgb16(plain(matrix, TONINGS[name], sharpening)).astype(int)
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).max() <= 40  # of 65535: a sixth of a step of 8 bits


@pytest.mark.parametrize("name", TONINGS)
def test_steps_are_those_of_the_plain_way(name):
    ours = Grade(np.eye(3), TONINGS[name], Sharpening(0.6), "d50").codes(light()).astype(int)
    theirs = to_steps(to_connection_space(plain(np.eye(3), TONINGS[name], Sharpening(0.6)))).astype(int)
    assert np.abs(ours[..., 0] - theirs[..., 0]).max() <= 8  # a fortieth of L*
    assert np.abs(ours[..., 1:] - theirs[..., 1:]).max() <= 26  # a tenth of a*, b*
