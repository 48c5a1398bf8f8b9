"""What lies above and below, of places whose answer is known."""

import numpy as np
import pytest

from setsolver.errors import BadInput
from setsolver.features import ground
from setsolver.features.attention import look
from setsolver.features.clip import clip_of
from setsolver.features.ground import above_ground, above_ground_by_clip, agreement, best_agreement, share_above


def parted(height: float, sure: float = 0.95) -> np.ndarray:
    """Chances of 7 x 7 places that are parted by a level line."""
    share = share_above(height, 0.0, (7, 7))
    return sure * share + (1 - sure) * (1 - share)


@pytest.mark.parametrize("height", [0.0, 0.2, 0.5, 1.0])
def test_a_level_line_leaves_its_height_above(height):
    share = share_above(height, 0.0, (7, 7))
    assert share.mean() == pytest.approx(height)
    assert (np.diff(share, axis=0) <= 0).all()


def test_a_line_that_falls_to_the_right_leaves_more_above_there():
    share = share_above(0.5, 0.4, (7, 7))
    assert share.mean() == pytest.approx(0.5)
    assert (np.diff(share.sum(axis=0)) > 0).all()
    assert np.allclose(share_above(0.5, -0.4, (7, 7)), share[:, ::-1])


def test_the_line_that_parts_the_places_agrees_best():
    above = parted(3 / 7)
    found = [agreement(above, rows / 7, 0.0) for rows in (1, 2, 3, 4, 5)]
    assert max(found) == found[2]
    assert agreement(above, 3 / 7, 0.5) < found[2]
    assert best_agreement(above) == pytest.approx(found[2], abs=0.03)
    every = [agreement(above, float(height), 0.0) for height in np.linspace(0.02, 0.98, 49)]
    assert best_agreement(above) == pytest.approx(max(every))


def test_places_that_say_nothing_agree_with_every_line_alike():
    unsure = np.full((7, 7), 0.5)
    assert agreement(unsure, 0.2, 0.1) == pytest.approx(np.log(0.5))
    assert best_agreement(unsure) == pytest.approx(np.log(0.5))


def test_chances_follow_the_weights_and_are_never_certain():
    maps = np.zeros((2, 1, 3), np.float32)
    maps[0] = [-100, 0, 100]
    chance = above_ground(maps, np.array([1.0, 5.0, 0.0], np.float32))
    assert chance == pytest.approx(np.array([[0.02, 0.5, 0.98]]))


def test_the_head_that_comes_with_the_package_puts_sky_above_sea(seascape, models):
    sky, sea = np.array([120, 165, 225], np.uint8), np.array([30, 60, 80], np.uint8)
    rgb = np.where(seascape(0.0).mean(axis=2, keepdims=True) > 150, sky, sea).astype(np.uint8)
    above = above_ground(look(rgb, models.embedding)[2])
    assert above.shape == (7, 7)
    assert above[:2].mean() > above[-2:].mean() + 0.3


def test_the_head_on_clips_places_puts_sky_above_a_temples_steps(models):
    from sklearn.datasets import load_sample_image  # noqa: PLC0415 - slow to import

    above = above_ground_by_clip(clip_of(np.ascontiguousarray(load_sample_image("china.jpg")), models.clip).places)
    assert above.shape == (14, 14)
    assert above[:4].mean() > above[-4:].mean() + 0.3


def test_weights_that_are_missing_are_named(monkeypatch):
    monkeypatch.setattr(ground, "GROUND_FILE", "nowhere.npz")
    with pytest.raises(BadInput, match=r"nowhere\.npz"):
        above_ground(np.zeros((192, 7, 7), np.float32))
