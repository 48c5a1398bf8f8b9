"""The falloff from the centre, by the normal equations of its fit."""

import numpy as np
import pytest

from setsolver.features import tone as module


def falloff_of(luminance: np.ndarray, aspect: float) -> float:
    """Return the weighted least squares of log2 on 1, x, y and r^2 by NumPy's normal equations, of a 24 x 24 grid."""
    weight = np.clip(luminance / 0.0006 - 1, 0, 1)
    at = (np.arange(24) + 0.5) / 12 - 1
    x, y = at[None, :] + 0 * at[:, None], at[:, None] + 0 * at[None, :]
    square = ((x * aspect) ** 2 + y**2) / (aspect**2 + 1)
    if weight[square > 0.6].mean() < 0.9:
        return 0.0
    columns = np.stack([0 * x + 1, x, y, square]).reshape(4, -1)
    light = np.log2(np.maximum(luminance, 0.0006)).ravel()
    return float(np.linalg.solve((columns * weight.ravel()) @ columns.T, (columns * weight.ravel()) @ light)[3])


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("aspect", [1.5, 0.7])
def test_a_falloff_is_the_weighted_fit_by_the_normal_equations(seed, aspect):
    """Also where cells are too dark to tell, and where nearly a tenth of the corners are."""
    random = np.random.default_rng(seed)
    luminance = np.exp2(random.uniform(-12, -1, (24, 24))) if seed % 2 else random.uniform(0.0004, 0.002, (24, 24))
    at = np.hypot(*np.meshgrid(*[np.linspace(-1, 1, 24)] * 2))
    luminance[at > 1] = np.maximum(luminance[at > 1], 0.00115)
    linear = np.repeat(luminance.repeat(2, 0).repeat(2, 1)[..., None], 3, axis=2).astype(np.float32)
    expected = falloff_of(luminance, aspect)
    assert expected != 0
    assert module._vignette(linear, aspect) == pytest.approx(expected, abs=5e-3)


@pytest.mark.parametrize(("dark", "told"), [(0.08, True), (0.12, False)])
def test_nine_tenths_of_the_corners_must_be_light_enough(dark, told):
    at = (np.arange(24) + 0.5) / 12 - 1
    square = (at[None, :] ** 2 + at[:, None] ** 2) / 2
    rows, columns = np.nonzero(square > 0.6)
    luminance = 0.2 * np.exp2(-square)
    luminance[rows[: round(dark * len(rows))], columns[: round(dark * len(rows))]] = 0.0
    linear = np.repeat(luminance.repeat(3, 0).repeat(3, 1)[..., None], 3, axis=2).astype(np.float32)
    assert module._vignette(linear, 1.0) == pytest.approx(-1.0 if told else 0.0, abs=0.02)
