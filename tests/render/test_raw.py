"""A developed picture brought to the tone of the preview that was judged: curves and factors that are known."""

import numpy as np
import pytest

from setsolver.colour.toning import toned
from setsolver.render.raw import matched


def picture(chroma=12.0):
    """L* of all values from 2 to 98, a* and b* of one chroma in all directions."""
    rng = np.random.default_rng(4)
    hue = rng.uniform(0, 2 * np.pi, (60, 80))
    return np.stack([rng.uniform(2, 98, (60, 80)), chroma * np.cos(hue), chroma * np.sin(hue)], -1).astype(np.float32)


@pytest.mark.parametrize("power", [0.7, 1.0, 1.5])
def test_a_curve_between_the_two_is_found_and_how_far_lightness_moves(power):
    lab, judged = picture(), picture()
    judged[..., 0] = 100 * (lab[..., 0] / 100) ** power
    toning, moved = matched(lab, judged)
    assert np.abs(toned(lab, toning)[..., 0] - judged[..., 0]).max() < 1.0
    percents = [0.5, 2, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 99.5]
    away = np.percentile(judged[..., 0], percents) - np.percentile(lab[..., 0], percents)
    assert moved == pytest.approx(np.abs(away).mean(), abs=1e-3)
    assert toning.chroma == pytest.approx(1.0)
    assert (np.diff(toning.after) >= 0).all()
    assert (toning.before[0], toning.before[-1], toning.after[0], toning.after[-1]) == (0, 100, 0, 100)


@pytest.mark.parametrize(
    ("own", "wanted", "factor"), [(12, 15, 1.25), (12, 6.6, 0.55), (12, 30, 2.0), (12, 3, 0.5), (0.04, 12, 1.0)]
)
def test_chroma_is_brought_by_its_ratio_as_far_as_that_is_believed(own, wanted, factor):
    """Between a half and twice; a picture without colour has no ratio."""
    assert matched(picture(own), picture(wanted))[0].chroma == pytest.approx(factor, rel=1e-4)


def test_a_preview_of_one_tone_or_beyond_the_scale_still_gives_a_curve_that_never_falls():
    lab = picture()
    for lightness in (50.0, 0.0, 130.0):
        judged = lab.copy()
        judged[..., 0] = lightness
        toning, _ = matched(lab, judged)
        assert (np.diff(toning.after) >= 0).all()
        assert 0 <= toning.after.min() <= toning.after.max() <= 100
    flat = lab.copy()
    flat[..., 0] = 40.0
    toning, moved = matched(flat, np.where([True, False, False], flat + 20, flat))
    assert np.interp(40.0, toning.before, toning.after) == pytest.approx(60.0, abs=0.1)
    assert moved == pytest.approx(20.0, abs=0.01)
