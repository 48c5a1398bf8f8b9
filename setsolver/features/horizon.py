"""Tilt: how far the horizon is off level, with a confidence, and nothing where there is none."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Tilt
from setsolver.features.horizon_cues import horizon_cues
from setsolver.features.lines import edge_points, strongest_lines
from setsolver.features.views import Views

__all__ = ["HORIZON_WEIGHTS", "MOST_LINES", "SURE_TILT", "choose_horizon", "find_tilt"]

SURE_TILT: Final = 0.5
"""Confidence from which a tilt is stated; below it ``degrees`` is None."""
MOST_LINES: Final = 8
"""Lines that compete for being the horizon."""
_AGREE: Final = 0.3
"""Degrees within which two lines say the same."""
_LIKELY: Final = 0.25
"""Odds of a horizon, told from the embedding, under which no line can be sure: they lower the confidence in step."""
HORIZON_WEIGHTS: Final[NDArray[np.float64]] = np.array(
    [6.201, -3.596, 4.670, -2.031, 0.831, 0.989, 0.463, -3.337, -3.310, -7.869]
)
"""Weights of the cues, in their order, and of one; fitted by ``benchmarks/features/fit_tilt.py`` to photographs."""


def find_tilt(views: Views, likely: float, weights: NDArray[np.float64] = HORIZON_WEIGHTS) -> Tilt:
    """Return the frame's tilt; ``degrees`` is None where no horizon can be trusted.

    The long lines near level compete with each other and with the answer "none" (``choose_horizon``).

    Parameters
    ----------
    likely : odds, 0 to 1, that a frame of this content has a horizon (``Models.horizon`` of its embedding).
    weights : float64[10], of the cues and of one.
    """
    if likely < SURE_TILT * _LIKELY:  # no line could be sure enough
        return Tilt(None, 0.0, None)
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    lines = strongest_lines(points, MOST_LINES)
    angles = np.array([line.degrees for line in lines])
    best, chance = choose_horizon(horizon_cues(lines, views.lab, likely), angles, weights)
    confidence = chance * min(1.0, likely / _LIKELY)
    if best is None or confidence < SURE_TILT:
        return Tilt(None, confidence, None)
    return Tilt(lines[best].degrees, confidence, float(lines[best].middle / points.height))


def choose_horizon(
    cues: NDArray[np.float64], degrees: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[int | None, float]:
    """Return the line that is most likely the horizon, and the chance that its angle is right.

    A conditional logit (McFadden, "Conditional logit analysis of qualitative choice behavior", 1974): line k is right
    with a chance of exp(s_k) / (1 + sum exp(s)), s the weighted cues, and none is with the rest. Lines of one angle
    speak for each other.

    Parameters
    ----------
    cues : float64[lines, n], NaN rows cannot win. degrees : float64[lines]. weights : float64[n + 1].
    """
    score = cues @ weights[:-1] + weights[-1]
    score[np.isnan(score)] = -np.inf
    if not np.isfinite(score).any():
        return None, 0.0
    top = max(0.0, float(score.max()))
    chance = np.exp(score - top)
    chance /= chance.sum() + np.exp(-top)
    best = int(np.argmax(chance))
    return best, float(chance[np.abs(degrees - degrees[best]) < _AGREE].sum())
