"""What looks like an opening and an ending, by hand and on the orders by eye that the weights were fitted to."""

from pathlib import Path

import numpy as np
import pytest

from setsolver.features.ends import ENDS_FILE, ends_seen
from setsolver.features.models import weights_of

ORDERS = Path(__file__).parents[2] / "benchmarks" / "taste" / "orders.npz"


def test_each_print_is_told_by_itself_and_by_its_own_vector():
    weights = weights_of(ENDS_FILE)
    looks = np.stack([weights["opens"], weights["ends"], np.zeros(512)]).astype(np.float64)
    opening, ending = ends_seen(looks)
    assert opening == pytest.approx(looks @ weights["opens"].astype(np.float64))
    assert ending == pytest.approx(looks @ weights["ends"].astype(np.float64))
    assert opening.argmax() == 0
    assert ending.argmax() == 1
    assert (opening[2], ending[2]) == (0, 0)
    assert ends_seen(looks[::-1])[0] == pytest.approx(opening[::-1])


def test_first_and_last_prints_of_stories_that_editors_ordered_look_like_it_more_than_the_others():
    """benchmarks/taste: by chance the first of five is told in 20 %; here in twice as many, on what was fitted to."""
    with np.load(ORDERS) as table:
        stories = table["prints"][table["kind"] == 5].astype(int)
        seen, axes = table["seen"].astype(float), table["axes"].astype(float)
    # The axes are orthogonal: a frame's part in them is its coordinates times their length, squared, once back.
    contents = seen @ (axes / (axes**2).sum(axis=1, keepdims=True))
    opening, ending = ends_seen(contents)
    assert (opening[stories].argmax(axis=1) == 0).mean() > 0.4
    assert (ending[stories].argmax(axis=1) == 4).mean() > 0.35
    assert (ending[stories].argmax(axis=1) == 0).mean() < 0.2
