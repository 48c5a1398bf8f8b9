"""Noise of pictures whose noise is known."""

import numpy as np
import pytest

from setsolver.colour.lab import lightness_of_luminance, srgb_to_lab, srgb_to_linear
from setsolver.features.grain import measure_noise

SIZE = (402, 602)


def noisy(sigma: float, level: float = 128.0, seed: int = 0) -> np.ndarray:
    random = np.random.default_rng(seed)
    return np.clip(np.rint(level + random.normal(0, sigma, SIZE)), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("sigma", [2.0, 4.0, 8.0])
def test_a_known_noise_is_found(sigma):
    """The flattest tenth of the blocks has a little less than all of them."""
    assert measure_noise(noisy(sigma)).codes == pytest.approx(sigma, rel=0.15)


@pytest.mark.parametrize("level", [60, 128, 200])
def test_in_lightness_it_counts_as_codes_do_at_that_tone(level):
    """L* between the greys one code below and above (CIE 1976), by the colour conversion that others test."""
    below, above = (float(srgb_to_lab(np.full((1, 1, 3), level + k, np.uint8))[0, 0, 0]) for k in (-1, 1))
    found = measure_noise(noisy(3.0, level))
    assert found.lightness == pytest.approx(found.codes * (above - below) / 2, rel=0.05)


def test_planes_of_tone_are_no_noise():
    ramp = np.add.outer(np.arange(SIZE[0]) * 0.25, np.arange(SIZE[1]) * 0.2)
    assert measure_noise(np.rint(ramp).astype(np.uint8)).codes < 0.8
    assert measure_noise(np.full(SIZE, 90, np.uint8)).codes == 0


@pytest.mark.parametrize("flat", [np.s_[:, :200], np.s_[:140, :], np.s_[-140:, :], np.s_[:, -200:]])
def test_where_a_part_is_flat_that_tells_the_noise(flat):
    """A third of the blocks is flat, wherever it lies; what is rough is texture."""
    picture = noisy(25.0)
    picture[flat] = noisy(2.0)[flat]
    assert measure_noise(picture).codes == pytest.approx(2.0, rel=0.2)


def test_small_pictures_have_noise_too():
    assert measure_noise(noisy(4.0)[:12, :12]).codes > 1


@pytest.mark.parametrize("size", [(66, 98), (50, 50), (83, 117), (34, 34)])
def test_noise_is_immerkaers_in_the_flattest_tenth_of_the_blocks(size):
    """Immerkaer's mask [[1, -2, 1], [-2, 4, -2], [1, -2, 1]] and sqrt(pi / 2) / 6 (CVIU 64, 1996), by loops."""
    random = np.random.default_rng(2)
    level = np.linspace(40, 220, size[1])
    picture = np.clip(np.rint(level + random.normal(0, 4, size) * np.linspace(0.5, 3, size[0])[:, None]), 0, 255)
    grey = picture.astype(np.uint8)
    codes = np.arange(256)
    light = lightness_of_luminance(srgb_to_linear(codes.astype(np.uint8)))
    mask, found = np.outer([1, -2, 1], [1, -2, 1]), []
    for top in range(0, (size[0] - 2) // 16 * 16, 16):
        for left in range(0, (size[1] - 2) // 16 * 16, 16):
            answers = [abs((mask * picture[top + r : top + r + 3, left + c : left + c + 3]).sum())
                       for r in range(16) for c in range(16)]  # fmt: skip
            tone = int(np.rint(picture[top + 1 : top + 17, left + 1 : left + 17].mean()))
            mean = np.rint(np.mean(answers))
            found.append((mean, mean * (light[tone + 1] - light[tone - 1]) / 2))
    expected = np.percentile(np.array(found), 10, axis=0) * np.sqrt(np.pi / 2) / 6
    assert measure_noise(grey) == pytest.approx(tuple(expected), rel=0.02)
