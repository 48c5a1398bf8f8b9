"""Where the network looks: the same embedding, and places that follow the thing in the picture."""

import numpy as np
import pytest

from setsolver.features.attention import look
from setsolver.features.likeness import embed
from setsolver.features.models import Seen, load_embedding


@pytest.fixture(scope="module")
def network():
    return load_embedding()


def test_the_embedding_is_the_one_that_likeness_uses(astronaut, network):
    seen, places, maps = look(astronaut, network)
    assert np.array_equal(seen, embed([astronaut], network)[0])
    assert places.shape == (7, 7)
    assert maps.shape == (192, 7, 7)
    assert places.min() >= 0
    assert places.max() <= 1


@pytest.mark.parametrize("corner", [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_places_follow_a_portrait_from_corner_to_corner(corner, astronaut, network):
    wall = np.full((1024, 1024, 3), 120, np.uint8)
    row, column = corner
    wall[row * 512 : row * 512 + 512, column * 512 : column * 512 + 512] = astronaut
    _, places, _ = look(wall, network)
    quarters = [[places[r : r + 3, c : c + 3].mean() for c in (0, 4)] for r in (0, 4)]
    assert np.unravel_index(int(np.argmax(quarters)), (2, 2)) == corner
    assert quarters[row][column] > 1.5 * quarters[1 - row][1 - column]


def test_four_tenths_of_how_strongly_a_place_speaks_come_from_the_last_layer():
    """By hand: norms 5, 13 and 0 over two channels are 5/13, 1 and 0; an even layer says nothing."""
    last, before = np.zeros((1, 2, 1, 3), np.float32), np.full((1, 2, 1, 3), 2.0, np.float32)
    last[0, :, 0] = [[3, 5, 0], [4, 12, 0]]
    embedding = np.ones((1, 4), np.float32)
    picture = np.zeros((32, 32, 3), np.uint8)
    found = look(picture, lambda _: Seen(embedding, last, before))
    assert found.places == pytest.approx(0.4 * np.array([[5 / 13, 1, 0]]), abs=1e-6)
    assert look(picture, lambda _: Seen(embedding, before, last)).places == pytest.approx(1.5 * found.places, abs=1e-6)
    assert found.before is not None
    assert np.array_equal(found.before, before[0])
