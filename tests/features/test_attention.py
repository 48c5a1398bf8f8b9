"""Where the network looks: the same embedding, and places that follow the thing in the picture."""

import numpy as np
import pytest

from setsolver.features.attention import look
from setsolver.features.likeness import embed
from setsolver.features.models import load_embedding


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
