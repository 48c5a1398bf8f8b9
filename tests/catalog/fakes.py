"""A measuring of pixels that needs no networks: enough for tests of everything around it. Workers import it by name."""

from __future__ import annotations

import os
import time

import numpy as np

from setsolver.domain.measures import Measures
from setsolver.usecases.tasks import EVERYTHING
from tests.rules.builders import make_frame

KILLER = (250, 0, 0)
"""A frame whose first pixel has this colour kills the process that measures it."""
ENDLESS = (0, 250, 0)
"""And this colour keeps it busy for ever."""
GREEDY = (0, 0, 250)
"""And this colour makes it ask for four gigabytes."""


def measurer():
    """Return a fake measurer; loads nothing."""
    return measure


def slow_measurer():
    """Return a measurer that takes a while for each frame."""
    return measure_slowly


def failing_measurer():
    """Return a measurer that fails on every frame."""
    return fail


def missing_measurer():
    """Fail as a worker does on which a library is missing."""
    raise ModuleNotFoundError("No module named 'not_on_workers'")


def measure(rgb, known=None, due=EVERYTHING) -> Measures:
    """Return measures whose embedding is the picture in small, so that like pictures are near."""
    if tuple(rgb[0, 0]) == KILLER:
        time.sleep(0.5)  # Dask's nanny replaces no worker that dies while it starts
        os._exit(9)
    while tuple(rgb[0, 0]) == ENDLESS:
        pass
    if tuple(rgb[0, 0]) == GREEDY:
        np.ones(4_000_000_000, np.uint8)
    rows = np.linspace(0, rgb.shape[0] - 1, 20).astype(int)
    columns = np.linspace(0, rgb.shape[1] - 1, 20).astype(int)
    small = rgb[rows][:, columns].astype(np.float64) / 255
    return make_frame(0, place=small.ravel()[:1200] - 0.5).measures


def measure_slowly(rgb, known=None, due=EVERYTHING) -> Measures:
    """Measure after a twentieth of a second."""
    time.sleep(0.05)
    return measure(rgb)


def fail(rgb, known=None, due=EVERYTHING) -> Measures:
    """Raise what a bug in a feature might raise."""
    raise ZeroDivisionError(f"no tone in {rgb.shape}")
