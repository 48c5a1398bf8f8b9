"""Prints that are narrow strips: they are made and measured like any other, up to one row of pixels."""

from dataclasses import replace

import pytest

from setsolver.domain.outcome import Placed
from tests.catalog.pictures import save
from tests.usecases.finishing import LOOK, PLAIN, drawing, frame, made, outcome_of


@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
@pytest.mark.parametrize(
    ("width", "height"),
    [
        (3000, 31),  # as long as a brief may ask, 97:1
        (3000, 2),
        (3000, 1),  # nothing is left of one row where every second one counts
        (1, 3000),
        (100, 1),
    ],
)
def test_a_strip_is_made_and_measured(tmp_path, width, height, kind):
    size = {"width": 3000, "height": 600} if width >= height else {"width": 600, "height": 3000}
    save(tmp_path / "catalog" / "1.jpg", drawing(0, **size), quality=95, subsampling=0)
    crop = (
        0.5 - width / size["width"] / 2,
        0.5 - height / size["height"] / 2,
        width / size["width"],
        height / size["height"],
    )
    strip = frame(
        "1.jpg",
        crop=crop,
        level_degrees=0.0,
        **size,
        crop_width=width,
        crop_height=height,
        position=Placed(x_cm=0, y_cm=0, width_cm=width / 50, height_cm=height / 50),
    )
    document = made(
        (tmp_path / "catalog", outcome_of(tmp_path / "catalog", [strip])), tmp_path / "out", replace(PLAIN, format=kind)
    )
    assert document.refused == ()
    (one,) = document.prints
    assert (one.width, one.height, one.warnings) == (width, height, ())
    assert abs(one.tone.mid - LOOK.mid) <= document.slack.mid + 1
