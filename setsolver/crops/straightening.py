"""Levelling: by how much a frame is turned, and how tilted it stays."""

from __future__ import annotations

import numpy as np

from setsolver.domain.problem import Floats

__all__ = ["LEAST", "MOST", "level_angles", "remaining_tilt", "trusted"]

LEAST = 0.2
"""Degrees below which a tilt stays: under what observers tell from level (0.3 to 0.6 degrees: J. Opt. Soc. Am. 73,
1983; Vision Res. 30, 1990), and levelling costs area."""
MOST = 6.0
"""Degrees above which a tilt is taken as meant, or as no horizon at all (common practice, no source)."""
SURE, SLIGHT, SURER = 0.5, 2.0, 0.08
"""Confidence from which a tilt up to ``SLIGHT`` degrees is trusted, and how much more each further degree asks for: a
wrong turn by 4 degrees is a worse picture than a horizon left 4 degrees off."""
CLOSE, CLOSE_SURE = 0.5, 0.9
"""Odds of a close view from which only this confidence is enough: the lines of a detail are seldom a horizon."""


def trusted(tilt: Floats, confidence: Floats, close: Floats) -> np.ndarray:
    """Return which tilts [F] are taken for a frame held askew.

    Parameters
    ----------
    tilt : [F] degrees, NaN = nothing to go by. confidence : [F], 0 to 1. close : [F], odds of a close view.
    """
    size = np.abs(tilt)
    wanted = SURE + SURER * np.maximum(0.0, np.nan_to_num(size) - SLIGHT)
    wanted = np.where(close >= CLOSE, np.maximum(wanted, CLOSE_SURE), wanted)
    return np.asarray((confidence >= wanted) & (size <= MOST))


def level_angles(tilt: Floats, confidence: Floats, close: Floats) -> Floats:
    """Return the angle in degrees, counter-clockwise, by which each frame is levelled; 0 = left as it is.

    Parameters are those of ``trusted``.
    """
    turned = trusted(tilt, confidence, close) & (np.abs(tilt) >= LEAST)
    return np.where(turned, np.nan_to_num(tilt), 0.0)


def remaining_tilt(tilt: Floats, confidence: Floats, close: Floats, level: Floats) -> Floats:
    """Return how far from level each frame stays in degrees, >= 0; what is not trusted, or meant, counts as level."""
    return np.where(trusted(tilt, confidence, close), np.abs(np.nan_to_num(tilt) - level), 0.0)
