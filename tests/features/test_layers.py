"""CLIP's inner layers: on few axes, told from the look that CLIP takes anyway, left for later with it."""

import cv2
import numpy as np
import pytest

from setsolver.domain.measures import LAYERS_SIZE, Measures
from setsolver.domain.origin import later
from setsolver.features.clip import clip_of
from setsolver.features.layer_axes import LayerAxes
from setsolver.features.measure import measure
from setsolver.features.models import _run_clip


def test_tokens_are_standardised_made_of_length_one_and_turned():
    """By hand: (5, 8) about (2, 4) over (1, 1) is (3, 4), of length 1 (0.6, 0.8); two more layers of nothing."""
    arrays = {"mean": np.zeros((3, 2)), "deviation": np.ones((3, 2)), "centre": np.zeros(6), "axes": np.eye(6, 2)}
    arrays["mean"][0] = (2, 4)
    arrays["centre"][0] = 0.1
    axes = LayerAxes.of_arrays(arrays)
    classes = np.zeros((1, 3, 2))
    classes[0, 0] = (5, 8)
    assert axes.rows(classes)[0] == pytest.approx([0.6, 0.8, 0, 0, 0, 0])
    assert axes.at(classes)[0] == pytest.approx([0.5, 0.8])


def test_the_first_token_of_each_layer_is_read_and_the_others_lie_row_by_row():
    """The class token comes before the patches, row by row (Dosovitskiy et al., ICLR 2021, 3.1); outputs have names."""
    tokens = np.broadcast_to(np.arange(197, dtype=np.float32)[None, :, None], (1, 197, 768))

    class Session:
        def run(self, names, given):
            assert list(given) == ["pixel_values"]
            inner = [int(name.split("layers.")[1].split("/")[0]) for name in names if "layers." in name]
            assert names[-1] == "tuned"
            said = np.array([[[3.5, -0.25]]], np.float32)
            return [np.zeros((1, 512), np.float32), tokens, *(tokens + 1000 * layer for layer in inner), said]

    seen = _run_clip(Session(), np.zeros((1, 3, 224, 224), np.float32))
    assert seen.places[0, :, 0].tolist() == [*range(1, 15)]
    assert seen.places[1, 0, 0] == 15
    assert seen.classes[:, 0].tolist() == [4000, 6000, 9000]
    assert seen.tuned.tolist() == [3.5, -0.25]


def test_tokens_of_a_photograph_lie_about_the_middle_of_the_table(astronaut, models):
    """Tokens of places do not: their deviations are others."""
    away = (clip_of(astronaut, models.clip).classes - models.layers.mean) / models.layers.deviation
    assert (np.sqrt((away**2).mean(axis=1)) < 2).all()


def test_each_layer_says_its_own_and_a_small_copy_nearly_the_same(astronaut, models):
    seen = clip_of(astronaut, models.clip)
    assert seen.classes.shape == (3, 768)
    assert not np.allclose(seen.classes[0], seen.classes[1], atol=0.1)
    small = cv2.resize(astronaut, (320, 320), interpolation=cv2.INTER_AREA)
    other = np.random.default_rng(0).integers(0, 255, (320, 320, 3), dtype=np.uint8)
    whole, half, noise = (
        models.layers.at(clip_of(one, models.clip).classes[None])[0] for one in (astronaut, small, other)
    )
    assert np.linalg.norm(whole - half) < 0.5 * np.linalg.norm(whole - noise)


def test_the_measure_is_what_a_scan_keeps(astronaut, models):
    found = measure(astronaut, models=models).layers
    assert (found.shape, found.dtype) == ((LAYERS_SIZE,), np.float16)
    assert np.isfinite(found).all()
    assert 0 < np.linalg.norm(found.astype(float)) < 2 * np.sqrt(3)
    assert "layers" in later(Measures)


def test_axes_are_at_right_angles_and_of_length_one(models):
    turned = models.layers.axes.T @ models.layers.axes
    assert turned == pytest.approx(np.eye(LAYERS_SIZE), abs=2e-3)
