"""Tilt: how far the horizon is off level, with a confidence, and nothing where there is none."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Tilt
from setsolver.features.attention import glance
from setsolver.features.ground import above_ground
from setsolver.features.horizon_cues import horizon_cues
from setsolver.features.lines import edge_points, strongest_lines
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, views_of

__all__ = ["HORIZON_WEIGHTS", "LEAST_ODDS", "MOST_LINES", "choose_horizon", "find_tilt", "least_confidence"]

_SURE_SLIGHT, _SURE_STRONG = 0.35, 0.8
"""Confidence from which a slight and a strong tilt are stated; below it ``degrees`` is None. Of sloping shores, roofs,
ropes and hills that look like horizons most slope by more than 2.5 degrees; few photographs are tilted that far."""
_SLIGHT, _STRONG = 1.2, 3.0
"""Degrees up to which a tilt is slight, and from which it is strong; between them the confidence asked for grows."""
MOST_LINES: Final = 8
"""Lines that compete for being the horizon."""
_AGREE: Final = 0.3
"""Degrees within which two lines say the same."""
_STEADY: Final = 0.35
"""Degrees by which a looser fit may differ; beyond it the edge has no one angle that could be stated."""
LEAST_ODDS: Final = 0.125
"""Odds of a horizon, told from the embedding, under which no line is looked for."""
HORIZON_WEIGHTS: Final[NDArray[np.float64]] = np.array(
    [5.715, 0.647, 3.804, 5.234, -3.840, 1.236, -5.763, -0.508, -3.074, -1.417]
)
"""Weights of the cues, in their order, and of one; fitted by ``benchmarks/features/fit_tilt.py`` to photographs."""


def find_tilt(
    views: Views, likely: float, above: NDArray[np.float64], weights: NDArray[np.float64] = HORIZON_WEIGHTS
) -> Tilt:
    """Return the frame's tilt; ``degrees`` is None where no horizon can be trusted.

    The long lines near level compete with each other and with the answer "none" (``choose_horizon``).

    Parameters
    ----------
    likely : odds, 0 to 1, that a frame of this content has a horizon (``Models.horizon`` of its embedding).
    above : float64[rows, columns], chance that each place lies above the horizon (``ground.above_ground``).
    weights : float64[10], of the cues and of one.
    """
    if likely < LEAST_ODDS:
        return Tilt(None, 0.0, None)
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    lines = strongest_lines(points, MOST_LINES)
    angles = np.array([line.degrees for line in lines])
    best, chance = choose_horizon(horizon_cues(lines, views.lab, likely, above), angles, weights)
    if best is None or lines[best].unsteady > _STEADY:
        return Tilt(None, 0.0, None)
    line = lines[best]
    if chance < least_confidence(line.degrees):
        return Tilt(None, chance, None)
    return Tilt(line.degrees, chance, float(line.middle / points.height))


def least_confidence(degrees: float) -> float:
    """Return the confidence from which a tilt of so many degrees is stated."""
    return float(np.interp(abs(degrees), (_SLIGHT, _STRONG), (_SURE_SLIGHT, _SURE_STRONG)))


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


@feature("tilt")
def _tilt(sight: Sight) -> Tilt:
    likely = float(sight.models.horizon.odds(sight.found.embedding[None])[0, 1])
    return find_tilt(sight.once(views_of), likely, above_ground(sight.once(glance).before))
