"""Kind: photographs, documents and screens told apart; what is doubtful counts as a photograph."""

import sys
from pathlib import Path

import numpy as np
import pytest

from setsolver.domain.measures import Kind
from setsolver.features.measure import measure

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks" / "features"))

from made_up_graphics import DOCUMENTS, SCREENS, painted, thermal
from made_up_pages import page, photographed, slide


def kind(picture, models):
    return measure(np.ascontiguousarray(picture), models=models).kind


def test_a_portrait_is_a_photograph(astronaut, models):
    assert kind(astronaut, models).best == "photograph"


@pytest.mark.parametrize("seed", [101, 102])
def test_pages_and_slides_that_were_not_fitted_to_are_told(seed, models):
    random = np.random.default_rng(seed)
    sheet = page(random)
    assert kind(sheet, models).best != "photograph"  # a page that no camera saw may be called a screen
    assert kind(photographed(sheet, random), models).best == "document"
    assert kind(slide(random), models).best == "screen"


@pytest.mark.parametrize("maker", [*DOCUMENTS, *SCREENS])
def test_spreads_menus_signs_and_screens_that_were_not_fitted_to_are_no_photographs(maker, models):
    assert kind(maker(np.random.default_rng(103)), models).best != "photograph"


def test_a_portrait_in_the_colours_of_heat_is_no_photograph(astronaut, models):
    assert kind(thermal(astronaut, np.random.default_rng(104)), models).best != "photograph"


@pytest.mark.parametrize("seed", range(6))
def test_a_portrait_that_is_painted_over_keeps_its_size_and_its_large_shapes(seed, astronaut):
    over = painted(astronaut, np.random.default_rng(seed))
    assert over.shape == astronaut.shape
    assert over.dtype == np.uint8
    grey = [picture.mean(axis=2)[::8, ::8].ravel() for picture in (astronaut, over)]
    assert np.corrcoef(*grey)[0, 1] > 0.8


def test_a_scanned_page_of_a_book_is_no_photograph(models):
    """A scan of a printed page, carried by scikit-image (data.page)."""
    from skimage import data  # noqa: PLC0415 - slow to import, only where the picture is asked for

    assert kind(np.repeat(data.page()[..., None], 3, axis=2), models).best != "photograph"


@pytest.mark.parametrize(
    ("odds", "best"),
    [((0.2, 0.6, 0.2), "photograph"), ((0.15, 0.5, 0.35), "document"), ((0.15, 0.35, 0.5), "screen")],
)
def test_what_may_well_be_a_photograph_counts_as_one(odds, best):
    assert Kind(*odds).best == best
