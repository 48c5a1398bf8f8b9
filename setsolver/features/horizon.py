"""Tilt: how far the horizon is off level, with a confidence, and nothing where there is none."""

from __future__ import annotations

from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Tilt
from setsolver.features.attention import glance
from setsolver.features.clip import seen_by_clip
from setsolver.features.crossing import crossing_by_clip
from setsolver.features.ground import above_ground, above_ground_by_clip
from setsolver.features.horizon_cues import horizon_cues
from setsolver.features.lines import Line, edge_points, strongest_lines
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, views_of

__all__ = [
    "ALONE",
    "MOST_LINES",
    "WITH_CLIP",
    "Judge",
    "choose_horizon",
    "chosen_line",
    "find_tilt",
    "least_confidence",
    "stated_tilt",
]

MOST_LINES: Final = 8
"""Lines that compete for being the horizon."""
_AGREE: Final = 0.3
"""Degrees within which two lines say the same."""


class Judge(NamedTuple):
    """What decides between lines, and when an answer is given.

    weights : float64[10], of the cues and of one; float64[12] with the cues that CLIP adds. slight, strong : confidence
    from which a slight and a strong tilt are stated; below it ``degrees`` is None. slight_to, strong_from : degrees up
    to which a tilt is slight, and from which it is strong; between them the confidence asked for grows: of sloping
    shores, roofs, ropes and hills that look like horizons most slope by more than 2.5 degrees, and few photographs are
    tilted that far. steady : degrees by which a looser fit may differ; beyond it the edge has no one angle that could
    be stated. waves : whether such an edge competes all the same, and silences the frame where it wins. least_odds :
    odds of a horizon, told from the embedding, under which no line is looked for.
    """

    weights: NDArray[np.float64]
    slight: float
    strong: float
    slight_to: float
    strong_from: float
    steady: float
    waves: bool
    least_odds: float


ALONE: Final = Judge(
    np.array([5.715, 0.647, 3.804, 5.234, -3.840, 1.236, -5.763, -0.508, -3.074, -1.417]),
    slight=0.35,
    strong=0.8,
    slight_to=1.2,
    strong_from=3.0,
    steady=0.35,
    waves=True,
    least_odds=0.125,
)
"""Where a quick scan left CLIP for later; fitted by ``benchmarks/features/fit_tilt.py`` to photographs."""
WITH_CLIP: Final = Judge(
    np.array([6.573, 0.349, 2.229, -2.197, -0.435, 0.603, -3.366, -0.885, -0.966, 0.986, 1.342, 0.645]),
    slight=0.2,
    strong=0.8,
    slight_to=1.2,
    strong_from=2.0,
    steady=0.4,
    waves=False,
    least_odds=0.01,
)
"""Where CLIP tells what lies above and where a horizon runs; fitted by ``benchmarks/features/fit_level.py``."""


def find_tilt(
    views: Views,
    likely: float,
    above: NDArray[np.float64],
    crossing: NDArray[np.float64] | None = None,
    judge: Judge | None = None,
) -> Tilt:
    """Return the frame's tilt; ``degrees`` is None where no horizon can be trusted.

    The long lines near level compete with each other and with the answer "none" (``choose_horizon``).

    Parameters
    ----------
    likely : odds, 0 to 1, that a frame of this content has a horizon (``Models.horizon`` of its embedding).
    above : float64[rows, columns], chance that each place lies above the horizon (``ground.above_ground``).
    crossing : float64[rows, columns], log odds that it crosses each place (``crossing.crossing_by_clip``); None where
        CLIP has not looked. judge : None for ``WITH_CLIP`` where it has, else ``ALONE``.
    """
    judge = judge or (ALONE if crossing is None else WITH_CLIP)
    if likely < judge.least_odds:
        return Tilt(None, 0.0, None)
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    lines = strongest_lines(points, MOST_LINES)
    chosen = chosen_line(lines, horizon_cues(lines, views.lab, likely, above, crossing), judge)
    return stated_tilt(lines, points.height, chosen, judge)


def chosen_line(lines: list[Line], cues: NDArray[np.float64], judge: Judge) -> tuple[int | None, float]:
    """Return the line that is most likely the horizon and its chance (``choose_horizon``), among those that compete.

    Parameters
    ----------
    cues : float64[lines, n], see ``horizon_cues``.
    """
    if not judge.waves:
        cues = cues.copy()
        cues[[line.unsteady > judge.steady for line in lines]] = np.nan
    return choose_horizon(cues, np.array([line.degrees for line in lines]), judge.weights)


def stated_tilt(lines: list[Line], height: int, chosen: tuple[int | None, float], judge: Judge) -> Tilt:
    """Return the tilt of the chosen line of a picture of that height, where it is steady and sure enough."""
    best, chance = chosen
    if best is None or lines[best].unsteady > judge.steady:
        return Tilt(None, 0.0, None)
    line = lines[best]
    if chance < least_confidence(line.degrees, judge):
        return Tilt(None, chance, None)
    return Tilt(line.degrees, chance, float(line.middle / height))


def least_confidence(degrees: float, judge: Judge = ALONE) -> float:
    """Return the confidence from which a tilt of so many degrees is stated."""
    return float(np.interp(abs(degrees), (judge.slight_to, judge.strong_from), (judge.slight, judge.strong)))


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
    if sight.found.clip is None:
        return find_tilt(sight.once(views_of), likely, above_ground(sight.once(glance).before))
    places = sight.once(seen_by_clip).places
    return find_tilt(sight.once(views_of), likely, above_ground_by_clip(places), crossing_by_clip(places))
