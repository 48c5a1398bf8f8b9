"""Resolutions that prints are tagged with: told truly by every file, or refused before anything is made."""

import math
from dataclasses import replace

import pytest
import pyvips

from setsolver.domain.outcome import Placed
from setsolver.errors import BadInput
from setsolver.usecases.finish_size import LEAST_PPI, MOST_PPI, Wish
from tests.usecases.finishing import HEIGHT, PLAIN, WIDTH, catalog_of, frame, made, outcome_of


@pytest.mark.parametrize("ppi", [1e-6, 0.0, -1.0, 1e7, 1e300, math.inf, math.nan])
def test_a_resolution_that_no_file_tells_is_no_wish(ppi):
    with pytest.raises(BadInput, match=r"no resolution that every file can tell; ask for 0.1 to 1,000,000"):
        Wish(PLAIN.profile, ppi)


def few(name, pixels, place=0):
    """A frame of so many pixels for a print of 90 cm."""
    crop = (0.4, 0.4, pixels / WIDTH, max(1, pixels / 1.5) / HEIGHT)
    size = {"crop_width": pixels, "crop_height": max(1, round(pixels / 1.5))}
    return frame(name, place, crop=crop, **size, position=Placed(x_cm=0, y_cm=0, width_cm=90, height_cm=60))


@pytest.mark.parametrize("border", [0.0, 40.0])
@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
@pytest.mark.parametrize("pixels", [4, 36, 600])
def test_the_file_tells_the_resolution_of_the_print(tmp_path, kind, border, pixels):
    """As libvips reads it: a ninth of a pixel an inch to seventeen."""
    catalog_of(tmp_path / "catalog", 1)
    outcome = outcome_of(tmp_path / "catalog", [few("1.jpg", pixels)])
    wish = replace(PLAIN, format=kind, border_mm=border)
    (one,) = made((tmp_path / "catalog", outcome), tmp_path / "out", wish).prints
    assert one.ppi == pytest.approx(pixels / 90 * 2.54)
    seen = pyvips.Image.new_from_file(str(tmp_path / "out" / one.file))
    assert seen.xres * 25.4 == pytest.approx(one.ppi, rel=0.01)
    assert not [said for said in one.warnings if "tagged" in said]


def test_a_print_too_large_for_its_pixels_is_refused_and_the_others_made(tmp_path):
    names = catalog_of(tmp_path / "catalog", 2)
    outcome = outcome_of(tmp_path / "catalog", [few(names[0], 1), frame(names[1], 1)])
    document = made((tmp_path / "catalog", outcome), tmp_path / "out", replace(PLAIN, format="jpeg"), workers=1)
    (refused,) = document.refused
    assert "crop of 1 x 1 pixels gives a print of 90 x 60 cm 0.028 pixels per inch" in refused.why
    assert [one.number for one in document.prints] == [2]


def test_the_ends_are_allowed():
    for ppi in (LEAST_PPI, MOST_PPI):
        assert Wish(PLAIN.profile, ppi).ppi == ppi
