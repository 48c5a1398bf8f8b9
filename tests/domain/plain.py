"""What the package only uses the other way round, written plainly."""

import numpy as np

from setsolver.domain import twins


def twin_chance(likeness):
    """Return the chance, 0 to 1, that a viewer calls two frames repeats, from the likeness of their signatures."""
    return np.asarray(1 / (1 + np.exp(-(twins._SLOPE * np.asarray(likeness, np.float64) + twins._OFFSET))))
