"""Codes of L*a*b* against scikit-image and LittleCMS."""

import numpy as np
import pyvips
from skimage import color

from setsolver.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab
from setsolver.render.encode import to_connection_space
from tests.render.plain import to_srgb16

CUBE = np.stack(np.meshgrid(*[np.linspace(0, 255, 9).astype(np.uint8)] * 3, indexing="ij"), -1).reshape(9, 81, 3)


def test_sixteen_bits_come_back_as_the_eight_that_they_were():
    codes = to_srgb16(srgb_to_lab(CUBE))
    assert codes.dtype == np.uint16
    assert np.abs(codes.astype(int) - CUBE.astype(int) * 257).max() <= 24  # a tenth of a step of 8 bits


def test_codes_are_those_of_scikit_image():
    lab = np.random.default_rng(0).uniform([5, -25, -25], [95, 25, 25], (30, 30, 3)).astype(np.float32)
    theirs = np.clip(color.lab2rgb(lab.astype(float)), 0, 1) * 65535
    assert np.abs(to_srgb16(lab) - theirs).max() < 65  # 0.1 %: the two matrices differ in the fourth decimal


def test_colours_outside_are_clipped_not_wrapped():
    codes = to_srgb16(np.array([[[120, 0, 0], [-9, 0, 0], [60, 120, 90]]], np.float32))
    assert codes[0, 0].tolist() == [65535] * 3
    assert codes[0, 1].tolist() == [0] * 3
    assert codes[0, 2, 0] == 65535


def test_the_connection_space_is_that_of_littlecms():
    """By libvips: it imports sRGB codes by its own sRGB profile through LittleCMS, into L*a*b* under D50."""
    image = pyvips.Image.new_from_array(CUBE).copy(interpretation="srgb")
    theirs = image.icc_import(input_profile="srgb", intent="relative", pcs="lab").numpy()
    ours = to_connection_space(srgb_to_lab(CUBE))
    assert np.abs(ours - theirs).max() < 0.25
    assert np.abs(ours - theirs).mean() < 0.05


def test_white_and_greys_have_no_colour_under_d50_either():
    grey = np.repeat(np.arange(0, 256, 5, dtype=np.uint8)[None, :, None], 3, axis=2)
    lab = to_connection_space(srgb_to_lab(grey))
    assert np.abs(lab[..., 1:]).max() < 1e-3
    assert np.abs(lab[0, -1, 0] - 100) < 1e-3


def test_linear_light_and_back():
    light = np.random.default_rng(0).uniform(-0.1, 1.3, (20, 20, 3)).astype(np.float32)
    assert np.abs(lab_to_linear(linear_to_lab(light)) - light).max() < 2e-4
