"""Tilt: how far the horizon is off level, with a confidence, and nothing where there is none."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Tilt
from setsolver.features.lines import Line, edge_points, strongest_lines
from setsolver.features.views import Views

__all__ = ["SURE_TILT", "find_tilt"]

SURE_TILT: Final = 0.5
"""Confidence from which a tilt is stated; below it ``degrees`` is None."""
_LEAST_EXCESS: Final = 0.10
_FULL_EXCESS: Final = 0.70
"""Share of columns that a line covers beyond its parallels: none of it counts below the first, all above."""
_BAND: Final = 0.05
"""Height of the bands above and below a line that must differ, as a share of the frame's height."""
_CLEAR: Final = 8.0
"""Difference of the bands, in L*a*b*, at which half of the contrast counts."""
_SLANT: Final = 9.0
"""Tilt, in degrees, at which a line counts half: cameras are held nearly level (common practice, no source)."""
_APART: Final = 0.7
"""Degrees from which two lines contradict each other. Above a horizon there is sky, so a strong line there is a strong
doubt; below it rows of a field or a road run to vanishing points of their own, and only an equal halves the
confidence."""
_NEARLY: Final = 0.8
"""Of lines nearly as strong as the strongest, the uppermost is the horizon."""
_LIKELY: Final = 0.3
"""Odds of a horizon, told from the embedding, from which they no longer lower the confidence."""


def find_tilt(views: Views, likely: float) -> Tilt:
    """Return the frame's tilt; ``degrees`` is None where no horizon can be trusted.

    A horizon is a long line that one edge sign covers and its parallels do not, that parts two bands of different
    tone or colour along its length, near level, in a frame that looks as if it had one.

    Parameters
    ----------
    likely : odds, 0 to 1, that a frame of this content has a horizon (``Models.horizon`` of its embedding).
    """
    if likely < SURE_TILT * _LIKELY:  # no line could be sure enough
        return Tilt(None, 0.0, None)
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    columns = np.arange(4, points.width, 8)
    sums = np.cumsum(views.lab[:, columns], axis=0, dtype=np.float64)
    scored = [(_confidence(line, columns, sums), line) for line in strongest_lines(points, most=8)]
    if not scored:
        return Tilt(None, 0.0, None)
    strongest = max(score for score, _ in scored)
    strength, best = min((pair for pair in scored if pair[0] >= _NEARLY * strongest), key=lambda pair: pair[1].middle)
    rivals = [
        (score / max(strength, 1e-9), line) for score, line in scored if abs(line.degrees - best.degrees) > _APART
    ]
    above = max((share for share, line in rivals if line.middle < best.middle), default=0.0)
    below = max((share for share, line in rivals if line.middle >= best.middle), default=0.0)
    doubt = min(1.0, max(above**4, 0.5 * below**4))
    confidence = strength * (1.0 - doubt) * min(1.0, likely / _LIKELY)
    if confidence < SURE_TILT:
        return Tilt(None, confidence, None)
    return Tilt(best.degrees, confidence, float(best.middle / points.height))


def _confidence(line: Line, columns: NDArray[np.int64], sums: NDArray[np.float64]) -> float:
    """Return how much a line looks like a horizon, 0 to 1."""
    excess = (line.support - line.beside - _LEAST_EXCESS) / (_FULL_EXCESS - _LEAST_EXCESS)
    level = 1.0 / (1.0 + (line.degrees / _SLANT) ** 2)
    return float(np.sqrt(min(1.0, max(0.0, excess)) * _parting(line, columns, sums)) * level)


def _parting(line: Line, columns: NDArray[np.int64], sums: NDArray[np.float64]) -> float:
    """Return how clearly and evenly a line parts the bands above and below it, 0 to 1.

    columns : some columns of the picture. sums : float64[H, columns, 3], L*a*b* summed down them.
    """
    height = len(sums)
    at: NDArray[np.float64] = line.middle + line.slope * (columns.astype(np.float64) - (line.width - 1) / 2)
    band = max(3, round(_BAND * height))
    inside = (at > band) & (at < height - band)
    if np.count_nonzero(inside) < len(columns) // 2:
        return 0.0
    above, below = _mean_between(sums, at - 2 - band, at - 2), _mean_between(sums, at + 2, at + 2 + band)
    difference = (below - above)[inside]
    mean = float(np.linalg.norm(difference.mean(axis=0)))
    evenness = mean / max(float(np.linalg.norm(difference, axis=1).mean()), 1e-6)
    return evenness * mean / (mean + _CLEAR)


def _mean_between(
    sums: NDArray[np.float64], first: NDArray[np.float64], last: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the mean L*a*b* of each column between two rows, from sums down the columns; float64[columns, 3]."""
    top, bottom = (np.clip(np.rint(edge).astype(int), 0, len(sums) - 1) for edge in (first, last))
    index = np.arange(sums.shape[1])
    result: NDArray[np.float64] = (sums[bottom, index] - sums[top, index]) / np.maximum(bottom - top, 1)[:, None]
    return result
