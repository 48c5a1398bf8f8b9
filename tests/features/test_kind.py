"""Kind: photographs, documents and screens told apart; what is doubtful counts as a photograph."""

import sys
from pathlib import Path

import numpy as np
import pytest

from setsolver.domain.measures import Kind
from setsolver.features.measure import measure

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks" / "features"))

from made_up_pages import page, photographed, slide


def kind(picture, models):
    return measure(np.ascontiguousarray(picture), models=models).kind


def test_a_portrait_is_a_photograph(astronaut, models):
    assert kind(astronaut, models).best == "photograph"


@pytest.mark.parametrize("seed", [101, 102])
def test_pages_and_slides_that_were_not_fitted_to_are_told(seed, models):
    random = np.random.default_rng(seed)
    sheet = page(random)
    assert kind(sheet, models).best == "document"
    assert kind(photographed(sheet, random), models).best == "document"
    assert kind(slide(random), models).best == "screen"


def test_a_scanned_page_of_a_book_is_no_photograph(models):
    """A scan of a printed page, carried by scikit-image (data.page)."""
    from skimage import data  # noqa: PLC0415 - slow to import, only where the picture is asked for

    assert kind(np.repeat(data.page()[..., None], 3, axis=2), models).best != "photograph"


@pytest.mark.parametrize(
    ("odds", "best"),
    [((0.25, 0.6, 0.15), "photograph"), ((0.2, 0.5, 0.3), "document"), ((0.2, 0.3, 0.5), "screen")],
)
def test_what_may_well_be_a_photograph_counts_as_one(odds, best):
    assert Kind(*odds).best == best
