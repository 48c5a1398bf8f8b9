"""Tilt of painted horizons, and no answer where there is none."""

import numpy as np
import pytest

from setsolver.features.horizon import find_tilt
from setsolver.features.views import make_views


@pytest.mark.parametrize("tilt", [-6.0, -3.3, -0.7, 0.0, 0.4, 2.5, 7.0])
@pytest.mark.parametrize("size", [(960, 640), (640, 960)])
def test_a_painted_horizon_is_found_to_a_third_of_a_degree(seascape, tilt, size):
    found = find_tilt(make_views(seascape(tilt, size)), 1.0)
    assert found.degrees == pytest.approx(tilt, abs=0.3)
    assert found.horizon == pytest.approx(0.45, abs=0.01)
    assert found.confidence > 0.5


def test_the_mirror_image_tilts_the_other_way(seascape):
    rgb = seascape(2.0)
    one, other = (find_tilt(make_views(view), 1.0).degrees for view in (rgb, rgb[:, ::-1]))
    assert other == pytest.approx(-one, abs=0.1)


@pytest.mark.parametrize("seed", range(4))
def test_noise_and_flat_tones_have_no_horizon(seed):
    noise = np.random.default_rng(seed).integers(0, 256, (480, 640, 3), dtype=np.uint8)
    assert find_tilt(make_views(noise), 1.0).degrees is None
    assert find_tilt(make_views(np.full((480, 640, 3), 40 * seed, np.uint8)), 1.0).degrees is None


def test_where_the_content_makes_a_horizon_unlikely_none_is_stated(seascape):
    views = make_views(seascape(1.0))
    sure, doubted = find_tilt(views, 1.0), find_tilt(views, 0.1)
    assert doubted.degrees is None
    assert doubted.confidence < sure.confidence


def test_two_lines_that_contradict_each_other_make_it_doubtful(seascape):
    rgb = seascape(0.0)
    slanted = seascape(6.0)[: rgb.shape[0] // 2]
    crossed = np.concatenate([rgb[rgb.shape[0] // 4 : -rgb.shape[0] // 4], slanted])
    assert find_tilt(make_views(crossed), 1.0).confidence < find_tilt(make_views(rgb), 1.0).confidence - 0.1
