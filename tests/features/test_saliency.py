"""What stands out by pixels: distances along known ways, and the spectral residual."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter, uniform_filter

from setsolver.features.saliency import _FREE, _GRID, _LEAST, SIDE, _distances, _normal, enclosed, surprising


def lab_of(lightness: np.ndarray) -> np.ndarray:
    return np.dstack([lightness, np.zeros_like(lightness), np.zeros_like(lightness)]).astype(np.float32)


def test_an_enclosed_patch_is_far_from_the_border_by_its_step():
    lightness = np.full((SIDE, SIDE), 40.0)
    lightness[20:44, 24:48] = 70.0
    far, distance = enclosed(lab_of(lightness))
    assert far[32, 36] > 0.95
    assert far[4, 4] < 0.05
    assert 15 < distance < 30  # the step, less what its blurred edge passes as free


def test_a_patch_that_reaches_the_border_is_background():
    lightness = np.full((SIDE, SIDE), 40.0)
    lightness[20:44, 24:] = 70.0
    assert enclosed(lab_of(lightness))[1] < 2.0


def test_a_slow_gradient_costs_nothing():
    ramp = np.tile(np.linspace(20, 80, SIDE), (SIDE, 1))
    assert enclosed(lab_of(ramp))[1] < 0.5


def even_grid() -> np.ndarray:
    return lab_of(np.full((_GRID, _GRID), 50.0))


def test_ways_over_one_tone_cost_the_least_for_every_step():
    at = np.arange(_GRID)
    inwards = np.minimum(at, at[::-1]) + 1  # the first step is onto the border
    assert _distances(even_grid()) == pytest.approx(_LEAST * np.minimum.outer(inwards, inwards), abs=1e-6)


def test_a_way_into_a_ring_costs_its_edge_twice_unless_the_ring_has_a_gap():
    lab = even_grid()
    lab[18:23, 18:23, 1], lab[19:22, 19:22, 1] = 12.0, 0.0  # a*; nine places inside
    edge = 12 - _FREE  # steps: 19 from outside to just before the ring, one onto it, one or two to the places inside
    far = _distances(lab)
    assert far[18, 20] == pytest.approx(edge + 19 * _LEAST, abs=1e-5)
    assert far[19, 20] == pytest.approx(2 * edge + 20 * _LEAST, abs=1e-5)
    assert far[20, 20] == pytest.approx(2 * edge + 21 * _LEAST, abs=1e-5)
    lab[18, 18] = lab[17, 17]  # a corner: the way in is diagonal
    assert _distances(lab)[20, 20] == pytest.approx(21 * _LEAST, abs=1e-5)


def test_a_stair_of_small_steps_is_cheaper_than_one_large_step():
    lab = even_grid()
    lab[24, 24, 0] = 50 + 12  # a step of 12 at once costs 10.5
    lab[24, 22:24, 0] = 50 + 4, 50 + 8  # three of 4 cost 7.5
    far = _distances(lab)
    assert far[24, 22] == pytest.approx((4 - _FREE) + 23 * _LEAST, abs=1e-5)
    assert far[24, 24] == pytest.approx(3 * (4 - _FREE) + 25 * _LEAST, abs=1e-5)


@settings(deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0, 40))
def test_no_neighbour_offers_a_cheaper_way_and_one_offers_the_way_taken(seed, spread):
    """What makes distances the shortest where every step costs something: R. Bellman, "On a routing problem", 1958."""
    lab = np.random.default_rng(seed).normal(0, spread, (_GRID, _GRID, 3)).astype(np.float32)
    colours = np.pad(lab.astype(float), ((1, 1), (1, 1), (0, 0)))
    far = np.pad(_distances(lab).astype(float), 1, constant_values=np.inf)
    here, inside = np.s_[1:-1, 1:-1], range(3)
    offers = []
    for row, column in [(r, c) for r in inside for c in inside if (r, c) != (1, 1)]:
        there = np.s_[row : row + _GRID, column : column + _GRID]
        change = np.sqrt(((colours[there] - colours[here]) ** 2).sum(axis=2))
        offers.append(far[there] + np.maximum(change - _FREE, 0) + _LEAST)
    best = np.min(offers, axis=0)
    best[0] = best[-1] = best[:, 0] = best[:, -1] = _LEAST
    assert far[here] == pytest.approx(best, abs=_LEAST / 10)


@pytest.mark.parametrize(("row", "column"), [(32, 44), (14, 20), (50, 30)])
def test_what_is_unlike_its_surroundings_surprises(row, column):
    noise = np.random.default_rng(0).normal(50, 3, (SIDE, SIDE)).astype(np.float32)
    noise[row - 4 : row + 4, column - 4 : column + 4] += 40
    surprise = surprising(noise)
    assert surprise[row - 6 : row + 6, column - 6 : column + 6].max() > 0.95
    assert surprise.mean() < 0.35


def test_surprise_is_the_spectral_residual_as_published():
    """Hou, Zhang, "Saliency detection: a spectral residual approach", CVPR 2007, by SciPy's filters.

    Sigma 2.5 on 64 pixels is that of their own code (from memory).
    """
    lightness = np.random.default_rng(3).uniform(20, 80, (SIDE, SIDE))
    lightness[20:30, 36:50] = 95.0
    spectrum = np.fft.fft2(lightness)
    log = np.log(np.abs(spectrum) + 1e-6)
    residual = log - uniform_filter(log, 3, mode="reflect")
    energy = np.abs(np.fft.ifft2(np.exp(residual + 1j * np.angle(spectrum)))) ** 2
    smooth = gaussian_filter(energy, 2.5, mode="mirror")
    found = surprising(lightness.astype(np.float32))
    assert np.abs(found - np.minimum(1, smooth / np.percentile(smooth, 99))).max() < 0.01


def test_a_step_is_free_up_to_one_and_a_half_and_costs_a_thousandth():
    assert (_FREE, _LEAST) == (1.5, 1e-3)  # what the distances above are told in
    lab = even_grid()
    lab[24, 24, 0] += 1.5
    assert _distances(lab)[24, 24] == pytest.approx(24 * 1e-3, abs=1e-6)
    lab[24, 24, 0] += 1.0
    assert _distances(lab)[24, 24] == pytest.approx(1.0 + 24 * 1e-3, abs=1e-5)


def test_how_far_is_smoothed_and_told_by_its_99th_percentile():
    """SciPy's Gaussians of 0.9 and 1.0, means of equal cells, and a line between the middles of cells."""
    lab = np.random.default_rng(5).normal(50, 4, (SIDE, SIDE, 3)).astype(np.float32)
    lab[20:40, 24:44, 1] += 30
    edges, pixels = np.arange(_GRID + 1)[:, None] * (SIDE / _GRID), np.arange(SIDE)
    cover = np.maximum(np.minimum(edges[1:], pixels + 1) - np.maximum(edges[:-1], pixels), 0) * (_GRID / SIDE)
    smooth = [cover @ gaussian_filter(lab[..., k].astype(float), 0.9, mode="mirror") @ cover.T for k in range(3)]
    far = _distances(np.dstack(smooth).astype(np.float32)).astype(float)
    at = (np.arange(SIDE) + 0.5) * _GRID / SIDE - 0.5
    rows = np.array([np.interp(at, np.arange(_GRID), row) for row in far])
    wide = np.array([np.interp(at, np.arange(_GRID), column) for column in rows.T]).T
    expected = gaussian_filter(wide, 1.0, mode="mirror")
    found, distance = enclosed(lab)
    assert distance == pytest.approx(np.percentile(far, 99), rel=1e-3)
    assert found == pytest.approx(np.minimum(expected / np.percentile(expected, 99), 1), abs=2e-3)


def test_nothing_stands_out_of_nothing():
    assert not _normal(np.zeros((4, 4))).any()
    assert _normal(np.arange(100.0).reshape(10, 10)).max() == 1


def test_the_mirrored_picture_has_the_mirrored_map():
    lab = np.random.default_rng(6).normal(50, 6, (SIDE, SIDE, 3)).astype(np.float32)
    lab[10:30, 8:20] += 25
    far, distance = enclosed(lab)
    for turn in (lambda one: one[:, ::-1], lambda one: one[::-1], lambda one: one.swapaxes(0, 1)):
        other, again = enclosed(np.ascontiguousarray(turn(lab)))
        assert again == pytest.approx(distance, rel=1e-3)
        assert other == pytest.approx(turn(far), abs=2e-3)
        surprise = surprising(np.ascontiguousarray(turn(lab)[..., 0]))
        assert surprise == pytest.approx(turn(surprising(np.ascontiguousarray(lab[..., 0]))), abs=5e-3)
