"""Profiles against matrix arithmetic from the published primaries; modes against what their channels mean."""

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog.colour import flat, oprgb_to_srgb, to_srgb
from tests.catalog.profiles import DISPLAY_P3, SRGB, WIDE_GREEN, grey_profile, rgb_profile, to_xyz

COLOURS = np.array(
    [[200, 120, 90], [90, 140, 100], [60, 70, 160], [128, 128, 128], [30, 30, 30], [240, 240, 235]], np.uint8
)


def expected(primaries, gamma, colours=COLOURS):
    """Return the colours in sRGB: linearise, to XYZ, to linear sRGB, encode (IEC 61966-2-1)."""
    linear = (colours / 255.0) ** gamma
    srgb = linear @ (np.linalg.inv(to_xyz(SRGB)) @ to_xyz(primaries)).T
    encoded = np.where(srgb <= 0.0031308, 12.92 * srgb, 1.055 * np.maximum(srgb, 0) ** (1 / 2.4) - 0.055)
    return np.clip(encoded, 0, 1) * 255


@pytest.mark.parametrize(
    "primaries", [DISPLAY_P3, WIDE_GREEN, SRGB], ids=["display-p3", "wide-green", "srgb-primaries"]
)
def test_profile_is_honoured(primaries):
    rgb, note = to_srgb(COLOURS[None], rgb_profile(primaries, 2.2))
    assert note == ""
    assert np.abs(rgb[0] - expected(primaries, 563 / 256)).max() <= 1.5


def test_oprgb_is_brought_to_srgb_by_its_primaries():
    cube = np.stack(np.meshgrid(*[np.arange(0, 256, 15)] * 3), axis=-1).reshape(1, -1, 3).astype(np.uint8)
    assert np.abs(oprgb_to_srgb(cube)[0] - expected(WIDE_GREEN, 563 / 256, cube[0])).max() <= 0.501  # but for rounding
    grey = np.array([[0, 100, 255]], np.uint8)
    assert np.array_equal(oprgb_to_srgb(grey), oprgb_to_srgb(np.repeat(grey[..., None], 3, axis=2)))


def test_grey_profile_is_honoured():
    grey = np.array([[0, 64, 128, 200, 255]], np.uint8)
    rgb, note = to_srgb(grey, grey_profile(1.8))
    linear = (grey[0] / 255) ** (round(1.8 * 256) / 256)
    encoded = 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    assert note == ""
    assert np.abs(rgb[0] - encoded[:, None]).max() <= 1.5


def test_without_profile_pixels_stay():
    rgb, note = to_srgb(COLOURS[None], None)
    assert np.array_equal(rgb[0], COLOURS)
    assert note == ""


@pytest.mark.parametrize("profile", [b"no profile", grey_profile(2.2), rgb_profile(SRGB, 2.2)[:200]])
def test_unusable_profile_is_noted(profile):
    rgb, note = to_srgb(COLOURS[None], profile)
    assert np.array_equal(rgb[0], COLOURS)
    assert "profile" in note


def test_cmyk_without_profile_is_noted():
    rgb, note = to_srgb(np.array([[[0, 0, 0, 0], [0, 0, 0, 255]]], np.uint8), None)
    assert rgb[0].tolist() == [[255, 255, 255], [0, 0, 0]]
    assert "CMYK" in note


@pytest.mark.parametrize(
    ("mode", "colour"),
    [("RGBA", (10, 20, 30, 0)), ("LA", (10, 0)), ("RGBa", (0, 0, 0, 0))],
    ids=str,
)
def test_clear_pixels_show_white(mode, colour):
    assert np.asarray(flat(Image.new(mode, (2, 2), colour))).min() == 255


def test_half_clear_black_is_grey():
    assert np.asarray(flat(Image.new("RGBA", (2, 2), (0, 0, 0, 128))))[0, 0].tolist() == [127, 127, 127]


def test_palette_with_a_clear_entry():
    image = Image.new("P", (2, 1))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putpixel((1, 0), 1)
    image.info["transparency"] = 0
    assert np.asarray(flat(image))[0].tolist() == [[255, 255, 255], [200, 100, 50]]


@pytest.mark.parametrize(
    ("dtype", "white"), [(np.uint16, 65535), (np.int32, 65535), (np.float32, 1.0), (np.int32, 255)]
)
def test_deep_grey_keeps_black_and_white(dtype, white):
    image = Image.fromarray(np.array([[0, white]], dtype))
    assert np.asarray(flat(image)).tolist() == [[0, 255]]


def test_floating_point_without_a_known_white_is_no_guess():
    with pytest.raises(ValueError, match="outside 0 to 1"):
        flat(Image.fromarray(np.array([[0.0, 40.0]], np.float32)))
