"""Levelling: by how much a frame is turned, and how tilted it stays."""

from __future__ import annotations

import numpy as np

from setsolver.rules.columns import Floats

__all__ = ["LEAST", "MOST", "SURE", "level_angles", "remaining_tilt"]

LEAST = 0.2
"""Degrees below which a tilt stays: under what observers tell from level (0.3 to 0.6 degrees: J. Opt. Soc. Am. 73,
1983; Vision Res. 30, 1990), and levelling costs area."""
MOST = 8.0
"""Degrees above which a tilt is taken as meant, or as no horizon at all (common practice, no source)."""
SURE = 0.5
"""Confidence from which a measured tilt is trusted."""


def level_angles(tilt: Floats, confidence: Floats) -> Floats:
    """Return the angle in degrees, counter-clockwise, by which each frame is levelled; 0 = left as it is.

    Parameters
    ----------
    tilt : [F] degrees, NaN = nothing to go by. confidence : [F], 0 to 1.
    """
    size = np.abs(tilt)
    trusted = (confidence >= SURE) & (size >= LEAST) & (size <= MOST)
    return np.where(trusted, np.nan_to_num(tilt), 0.0)


def remaining_tilt(tilt: Floats, confidence: Floats, level: Floats) -> Floats:
    """Return how far from level each frame stays in degrees, >= 0; what is not trusted, or meant, counts as level."""
    known = (confidence >= SURE) & (np.abs(tilt) <= MOST)
    return np.where(known, np.abs(np.nan_to_num(tilt) - level), 0.0)
