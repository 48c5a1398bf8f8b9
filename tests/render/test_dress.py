"""Falloff and grain on prints: what is added is what is measured, wherever tiles lie."""

import cv2
import numpy as np
import pytest

from setsolver.colour.falloff import with_falloff
from setsolver.colour.lab import srgb_to_lab
from setsolver.colour.profile import srgb_curves
from setsolver.colour.texture import grain_map
from setsolver.colour.toning import Toning
from setsolver.domain.geometry import Box
from setsolver.features.grain import measure_noise
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from setsolver.render.draw import drawn
from setsolver.render.dress import Dress
from setsolver.render.grade import shown
from setsolver.render.original import Original
from setsolver.render.resample import grid_of
from setsolver.render.sharpen import PLAIN

AS_IS = Toning(np.array([0.0, 100.0]), np.array([0.0, 100.0]))
WIDTH, HEIGHT = 900, 600


def original(codes=None):
    codes = np.full((HEIGHT, WIDTH, 3), 118, np.uint8) if codes is None else codes
    return Original(codes, (0, 0), WIDTH, HEIGHT, srgb_curves(256))


def printed(dress, box=Box(0, 0, 1, 1), size=(WIDTH, HEIGHT), **options):  # noqa: B008 - immutable
    codes = drawn(original(**options), grid_of(box, 0.0, (WIDTH, HEIGHT), size), AS_IS, PLAIN, dress=dress)
    return np.rint(codes / 257).astype(np.uint8)


@pytest.mark.parametrize("ev", [-1.0, 0.7])
def test_a_falloff_on_an_even_print_is_measured_in_full(ev):
    tone, _ = measure_tone(make_views(printed(Dress(ev))))
    assert tone.vignette == pytest.approx(ev, abs=0.03)


def test_a_print_and_its_small_picture_fall_off_alike():
    small = with_falloff(srgb_to_lab(np.full((120, 180, 3), 118, np.uint8)), -1.0)
    large = cv2.resize(printed(Dress(-1.0)), (180, 120), interpolation=cv2.INTER_AREA)
    assert np.abs(shown(small, AS_IS).astype(int) - large).max() <= 1


def test_bleed_falls_off_on_beyond_the_corners_of_the_crop():
    plain = printed(Dress(-1.0))
    bled = printed(Dress(-1.0, bleed=30), Box(-30 / WIDTH, -30 / HEIGHT, 1 + 60 / WIDTH, 1 + 60 / HEIGHT), (960, 660))
    assert np.array_equal(bled[30:-30, 30:-30], plain)
    assert bled[0, 0, 0] < plain[0, 0, 0]


@pytest.mark.parametrize("amount", [0.5, 2.0])
def test_grain_is_given_as_it_is_measured(amount):
    lab = srgb_to_lab(np.full((HEIGHT, WIDTH, 3), 118, np.uint8))
    lab[..., 0] += grain_map(lab[..., 0], 0.0, amount, 1)
    assert measure_noise(cv2.cvtColor(shown(lab, AS_IS), cv2.COLOR_RGB2GRAY)).lightness == pytest.approx(
        amount, rel=0.15
    )


def test_grain_is_taken_and_edges_stay():
    rng = np.random.default_rng(0)
    flat = np.where(np.arange(WIDTH) < WIDTH // 2, 80.0, 170.0) + rng.normal(0, 5, (HEIGHT, WIDTH))
    lab = srgb_to_lab(np.repeat(np.clip(flat, 0, 255).astype(np.uint8)[..., None], 3, axis=2))
    before = measure_noise(cv2.cvtColor(shown(lab, AS_IS), cv2.COLOR_RGB2GRAY)).lightness
    cleaner = lab.copy()
    cleaner[..., 0] += grain_map(lab[..., 0], before, -0.6 * before, 1)
    after = measure_noise(cv2.cvtColor(shown(cleaner, AS_IS), cv2.COLOR_RGB2GRAY)).lightness
    assert after < 0.7 * before
    edge = [part[:, WIDTH // 2 - 3 : WIDTH // 2 + 3, 0].mean(axis=0) for part in (lab, cleaner)]
    assert np.abs(edge[1] - edge[0]).max() < 2  # of the 33 that the edge is high


def test_grain_lies_where_its_map_has_it_whatever_the_tiles():
    grain = np.zeros((60, 90), np.float32)
    grain[30, 45] = 20  # between the second and the third tile of each row
    light = printed(Dress(0.0, grain))[..., 1].astype(float) - 118
    y, x = np.mgrid[:HEIGHT, :WIDTH] + 0.5
    heavy = np.clip(light, 0, None)
    assert (heavy * x).sum() / heavy.sum() == pytest.approx(455, abs=0.5)
    assert (heavy * y).sum() / heavy.sum() == pytest.approx(305, abs=0.5)


def test_the_same_seed_is_the_same_grain():
    field = np.full((20, 30), 50, np.float32)
    assert np.array_equal(grain_map(field, 0.1, 1.0, 3), grain_map(field, 0.1, 1.0, 3))
    assert not np.array_equal(grain_map(field, 0.1, 1.0, 3), grain_map(field, 0.1, 1.0, 4))
