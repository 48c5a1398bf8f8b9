"""Pictures of an album at the size of a screen."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from setsolver.render.save import srgb_profile
from setsolver.usecases.album_pictures import Made, smaller
from tests.catalog.profiles import DISPLAY_P3, rgb_profile


def made(tmp_path, profile, codes=(100, 200, 90), size=(300, 200)):
    file = tmp_path / "print.jpg"
    Image.new("RGB", size, codes).save(file, quality=95, icc_profile=profile)
    return Made(file, record=None)


def middle(drawn):
    with Image.open(BytesIO(drawn.jpeg)) as image:
        assert image.size == (drawn.width, drawn.height)
        return np.asarray(image.convert("RGB"))[drawn.height // 2, drawn.width // 2].astype(int)


def in_srgb(codes, gamma):
    """By hand: codes of Display P3's primaries (SMPTE EG 432-1; matrices of both spaces from memory), in sRGB."""
    light = (np.array(codes) / 255) ** gamma
    to_srgb = np.array([[1.2249, -0.2247, 0.0], [-0.0420, 1.0419, 0.0], [-0.0197, -0.0786, 1.0979]])
    out = np.clip(to_srgb @ light, 0, 1)
    return 255 * np.where(out <= 0.0031308, 12.92 * out, 1.055 * out ** (1 / 2.4) - 0.055)


def test_a_screen_gets_the_colours_that_were_printed_not_their_codes(tmp_path):
    drawn = smaller(made(tmp_path, rgb_profile(DISPLAY_P3, 2.2)), 5, 72)
    assert middle(drawn) == pytest.approx(in_srgb((100, 200, 90), 2.2), abs=4)
    assert abs(middle(drawn) - (100, 200, 90)).max() > 10


@pytest.mark.parametrize("profile", [None, srgb_profile()], ids=["none", "srgb"])
def test_what_is_srgb_already_keeps_its_codes(tmp_path, profile):
    assert middle(smaller(made(tmp_path, profile), 5, 72)) == pytest.approx((100, 200, 90), abs=2)


def test_a_picture_is_never_larger_than_it_is(tmp_path):
    drawn = smaller(made(tmp_path, None, size=(40, 30)), 30, 300)
    assert (drawn.width, drawn.height) == (40, 30)
