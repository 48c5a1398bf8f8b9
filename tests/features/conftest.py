"""Pictures with known answers, and the networks loaded once."""

import cv2
import numpy as np
import pytest

from setsolver.features.measure import Models


@pytest.fixture(scope="session")
def models() -> Models:
    return Models.load()


@pytest.fixture(scope="session")
def astronaut() -> np.ndarray:
    """Eileen Collins, NASA, public domain; carried by scikit-image."""
    from skimage import data  # noqa: PLC0415 - slow to import, only where the picture is asked for

    return np.ascontiguousarray(data.astronaut())


@pytest.fixture(scope="session")
def seascape():
    """Painter of a sea under a sky, see ``_seascape``."""
    return _seascape


def _seascape(tilt: float, size: tuple[int, int] = (960, 640), seed: int = 0) -> np.ndarray:
    """A bright sky above a dark sea with waves; the horizon's right end is lower by ``tilt`` degrees."""
    width, height = size
    x = np.arange(width) - (width - 1) / 2
    line = height * 0.45 + np.tan(np.radians(tilt)) * x
    below = np.clip(np.arange(height)[:, None] - line[None] + 0.5, 0, 1)
    random = np.random.default_rng(seed)
    waves = cv2.GaussianBlur(random.normal(0, 60, (height, width)), (0, 0), 3) + random.normal(0, 2, (height, width))
    sky = np.linspace(200, 225, height)[:, None] + random.normal(0, 1.5, (height, width))
    grey = sky * (1 - below) + (90 + waves) * below
    return np.clip(grey[..., None] * (0.95, 1.0, 1.05), 0, 255).astype(np.uint8)
