"""Where a horizon would run, by what CLIP says of the places of a picture."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.ground import GROUND_FILE
from setsolver.features.models import weights_of

__all__ = ["CROSSING_WEIGHTS", "along", "crossing_by_clip", "share_crossed"]

CROSSING_WEIGHTS: Final = "crossing"
"""Name in the file of ``ground`` of the head on CLIP's places."""
_SURE: Final = (-6.0, 4.0)
"""No place is surer than these logits, so that one wrong place does not decide."""
_INSIDE: Final = 0.3
"""Least share of a column's places that a line must cross to be judged there: less lies outside the picture."""


def crossing_by_clip(places: NDArray[np.float32], weights: NDArray[np.float32] | None = None) -> NDArray[np.float64]:
    """Return the log odds that a horizon crosses each place; float64[rows, columns], -6 to 4.

    A logistic head on one place: where water or a plain meets what lies beyond it CLIP says so, and says it neither of
    a roof's edge nor of a table's.

    Parameters
    ----------
    places : float32[rows, columns, d], ``ClipSeen.places``. weights : float32[d + 1], the last for one; None for those
        that come with the package.

    Raises
    ------
    BadInput
        Where the weights are missing from the installation.
    """
    head = weights_of(GROUND_FILE)[CROSSING_WEIGHTS] if weights is None else weights
    logits: NDArray[np.float64] = np.clip(places @ head[:-1] + head[-1], *_SURE).astype(np.float64)
    return logits


def share_crossed(height: float, rise: float, shape: tuple[int, int]) -> NDArray[np.float64]:
    """Return how far each place lies on a line; float64[rows, columns], 1 with its middle on it, 0 its height away.

    Parameters
    ----------
    height, rise, shape : as in ``ground.share_above``.
    """
    rows, columns = shape
    at = (height + rise * ((np.arange(columns) + 0.5) / columns - 0.5)) * rows
    share: NDArray[np.float64] = np.maximum(0.0, 1.0 - np.abs(np.arange(rows)[:, None] + 0.5 - at[None]))
    return share


def along(crossing: NDArray[np.float64], height: float, rise: float) -> tuple[float, float]:
    """Return what the places say along a line: (likely, alone), NaN where the line lies outside the picture.

    likely : mean log odds of the places on it. alone : mean over the columns of the logarithm of the line's share in
    what the column's places say together, 0 at most: low where something else in the column looks more like a horizon.

    Parameters
    ----------
    crossing : float64[rows, columns], see ``crossing_by_clip``. height, rise : see ``ground.share_above``.
    """
    share = share_crossed(height, rise, (crossing.shape[0], crossing.shape[1]))
    inside = share.sum(axis=0) > _INSIDE
    if not inside.any():
        return float("nan"), float("nan")
    share, logits = share[:, inside], crossing[:, inside]
    likely = (share * logits).sum(axis=0) / share.sum(axis=0)
    odds = np.exp(logits)
    alone = np.log((odds * (share > 0)).sum(axis=0) / odds.sum(axis=0))
    return float(likely.mean()), float(alone.mean())
