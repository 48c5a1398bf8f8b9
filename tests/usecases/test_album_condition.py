"""Printing conditions of albums: profiles for RGB are printed in, those for CMYK are named alone."""

from pathlib import Path

import pytest

from setsolver.errors import BadInput
from setsolver.render.save import srgb_profile
from setsolver.usecases.album_condition import condition_of
from tests.catalog.profiles import SRGB, grey_profile, rgb_profile

CMYK = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")


def test_without_a_profile_it_is_srgb():
    found = condition_of(None)
    assert (found.name, found.intent, found.of_pictures, found.notes) == ("sRGB", None, srgb_profile(), ())


def test_pictures_are_made_in_a_profile_for_rgb(tmp_path):
    file = tmp_path / "paper.icc"
    file.write_bytes(rgb_profile(SRGB, 1.8))
    found = condition_of(file, "perceptual")
    assert found.pictures.file == file
    assert found.pictures.intent == "perceptual"
    assert found.intent == found.of_pictures == file.read_bytes()
    assert found.notes == ()


@pytest.mark.skipif(not CMYK.is_file(), reason="ghostscript's profiles are not installed (Debian: libgs-common)")
def test_a_press_for_cmyk_is_named_and_pictures_stay_in_srgb():
    found = condition_of(CMYK)
    assert found.intent == CMYK.read_bytes()
    assert found.of_pictures == srgb_profile()
    assert "the press converts them" in found.notes[0]


@pytest.mark.parametrize("content", [b"no profile", grey_profile(2.2), b""], ids=["text", "grey", "empty"])
def test_what_is_no_profile_of_either_kind_is_refused(tmp_path, content):
    file = tmp_path / "paper.icc"
    file.write_bytes(content)
    with pytest.raises(BadInput, match=r"paper\.icc"):
        condition_of(file)
    with pytest.raises(BadInput, match="cannot be read"):
        condition_of(tmp_path / "none.icc")
