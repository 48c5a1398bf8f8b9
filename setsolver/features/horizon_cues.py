"""What tells a horizon from another long line: its edge, what lies above and below it, and the lines beside it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.lines import Line

__all__ = ["CUES", "horizon_cues"]

CUES: Final = ("support", "beside", "contrast", "slant", "likely", "darker", "yellower", "above", "unsteady")
"""Order of the cues; ``horizon_cues`` says what they are."""
_EVERY: Final = 12
"""Columns that are looked at are so many pixels apart."""
_BAND: Final = 0.05
"""Height of the bands along a line that must differ, as a share of the frame's height."""
_CLEAR: Final = 8.0
"""Difference of the bands, in L*a*b*, at which half of the contrast counts."""
_LEAST_MARGIN: Final = 0.04
"""Share of the frame's height by which another line must lie higher to count as above."""


def horizon_cues(lines: list[Line], lab: NDArray[np.float32], likely: float) -> NDArray[np.float64]:
    """Return the cues of every line; float64[lines, 9], NaN where a line runs too near the border to be judged.

    support, beside : see ``Line``. contrast : d / (d + 8) of the L*a*b* difference d between the bands above and
    below. slant : degrees off level / 9. likely : log odds of a horizon. darker, yellower : L* / 30 and b* / 20 of all
    that lies below less all above (skies are light and blue). above : the most that a higher line is supported beyond
    its parallels. unsteady : see ``Line``, 1 at most.

    Parameters
    ----------
    lab : float32[H, W, 3]. likely : odds, 0 to 1, that a frame of this content has a horizon.
    """
    columns = np.arange(_EVERY // 2, lab.shape[1], _EVERY)
    sums = np.zeros((lab.shape[0] + 1, len(columns), 3))
    np.cumsum(lab[:, columns], axis=0, dtype=np.float64, out=sums[1:])
    chance = min(max(likely, 1e-3), 1 - 1e-3)
    log_odds = float(np.log(chance / (1 - chance)))
    rows = [_cues(line, lines, columns, sums, log_odds) for line in lines]
    return np.array(rows, dtype=np.float64).reshape(-1, len(CUES))


def _cues(
    line: Line, lines: list[Line], columns: NDArray[np.int64], sums: NDArray[np.float64], log_odds: float
) -> list[float]:
    height = len(sums) - 1
    at: NDArray[np.float64] = line.middle + line.slope * (columns.astype(np.float64) - (line.width - 1) / 2)
    band = max(3, round(_BAND * height))
    inside = (at > band) & (at < height - band)
    if np.count_nonzero(inside) < len(columns) // 2:
        return [np.nan] * len(CUES)
    along = _step(sums, inside, at - 2 - band, at - 2, at + 2, at + 2 + band)
    whole = _step(sums, inside, np.zeros_like(at), at - 3, at + 3, np.full_like(at, height))
    contrast = float(np.linalg.norm(along))
    higher = [other for other in lines if other.middle < line.middle - _LEAST_MARGIN * height]
    return [
        line.support,
        line.beside,
        contrast / (contrast + _CLEAR),
        abs(line.degrees) / 9,
        log_odds,
        -float(whole[0]) / 30,
        float(whole[2]) / 20,
        max((other.support - other.beside for other in higher), default=0.0),
        min(line.unsteady, 1.0),
    ]


def _step(sums: NDArray[np.float64], inside: NDArray[np.bool_], *edges: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return mean L*a*b* between the last two edges less that between the first two, over the columns inside."""
    top, above, below, bottom = (np.clip(np.rint(edge).astype(int), 0, len(sums) - 1)[inside] for edge in edges)
    at = np.flatnonzero(inside)
    upper = (sums[above, at] - sums[top, at]) / np.maximum(above - top, 1)[:, None]
    lower = (sums[bottom, at] - sums[below, at]) / np.maximum(bottom - below, 1)[:, None]
    step: NDArray[np.float64] = (lower - upper).mean(axis=0)
    return step
