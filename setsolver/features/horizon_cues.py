"""What tells a horizon from another long line: its edge, what lies above and below it, and the lines beside it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.crossing import along
from setsolver.features.ground import agreement, best_agreement
from setsolver.features.lines import Line

__all__ = ["CLIP_CUES", "CUES", "horizon_cues"]

CUES: Final = ("support", "likely", "parted", "behind", "above", "darker", "unsteady", "rough", "uneven")
"""Order of the cues; ``horizon_cues`` says what they are."""
CLIP_CUES: Final = ("crossing", "alone")
"""What is added to them where CLIP has looked."""
_EVERY: Final = 12
"""Columns that are looked at are so many pixels apart."""
_BAND: Final = 0.05
"""Share of the frame's height from its border within which a line is not judged."""
_LEAST_MARGIN: Final = 0.04
"""Share of the frame's height by which another line must lie higher to count as above."""


def horizon_cues(
    lines: list[Line],
    lab: NDArray[np.float32],
    likely: float,
    above: NDArray[np.float64],
    crossing: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """Return the cues of every line; float64[lines, 9 or 11], NaN where a line runs too near the border to be judged.

    support, unsteady (1 at most), rough, uneven : see ``Line``. likely : log odds of a horizon. parted : how well the
    line parts the places above from those below (``ground.agreement``). behind : by how much it does so better than any
    level line. above : the most that a higher line is supported beyond its parallels. darker : L* / 30 of all that lies
    above less all below. crossing, alone : what places say along the line (``crossing.along``), where that is given.

    Parameters
    ----------
    lab : float32[H, W, 3]. likely : odds, 0 to 1, that a frame of this content has a horizon. above : float64[rows,
        columns], chance that each place lies above the horizon (``ground.above_ground``). crossing : float64[rows,
        columns], log odds that it crosses each place (``crossing.crossing_by_clip``); None where CLIP has not looked.
    """
    columns = np.arange(_EVERY // 2, lab.shape[1], _EVERY)
    sums = np.zeros((lab.shape[0] + 1, len(columns)))
    np.cumsum(lab[:, columns, 0], axis=0, dtype=np.float64, out=sums[1:])
    chance = min(max(likely, 1e-3), 1 - 1e-3)
    log_odds = float(np.log(chance / (1 - chance)))
    best = best_agreement(above) if lines else 0.0
    rows = []
    for line in lines:
        height, rise = line.middle / lab.shape[0], line.slope * line.width / lab.shape[0]
        parted = agreement(above, height, rise)
        higher = [other for other in lines if other.middle < line.middle - _LEAST_MARGIN * lab.shape[0]]
        rival = max((other.support - other.beside for other in higher), default=0.0)
        own = [line.support, log_odds, parted, parted - best, rival, _darker(line, columns, sums)]
        seen = () if crossing is None else along(crossing, height, rise)
        rows.append([*own, min(line.unsteady, 1.0), line.rough, line.uneven, *seen])
    found = np.array(rows, dtype=np.float64).reshape(-1, len(CUES) + (0 if crossing is None else len(CLIP_CUES)))
    found[np.isnan(found).any(axis=1)] = np.nan
    return found


def _darker(line: Line, columns: NDArray[np.int64], sums: NDArray[np.float64]) -> float:
    """Return mean L* / 30 above a line less that below it, NaN where half of the line lies at the border."""
    height = len(sums) - 1
    at: NDArray[np.float64] = line.middle + line.slope * (columns.astype(np.float64) - (line.width - 1) / 2)
    inside = np.flatnonzero((at > _BAND * height) & (at < (1 - _BAND) * height))
    if len(inside) < len(columns) // 2:
        return float("nan")
    above, below = (np.clip(np.rint(at[inside] + side).astype(int), 1, height - 1) for side in (-3, 3))
    upper = sums[above, inside] / above
    lower = (sums[-1, inside] - sums[below, inside]) / (height - below)
    return float((upper - lower).mean()) / 30
