"""What lies above the horizon and what below it, by what a network says of the places of a picture."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.models import weights_of

__all__ = [
    "CLIP_WEIGHTS",
    "GROUND_FILE",
    "above_ground",
    "above_ground_by_clip",
    "agreement",
    "best_agreement",
    "share_above",
]

GROUND_FILE: Final = "ground.npz"
LITE_WEIGHTS: Final = "weights"
CLIP_WEIGHTS: Final = "clip"
"""Names in the file of the head on the embedding network's places and of that on CLIP's."""
_SURE: Final = 0.02
"""No place is surer than this to lie above or below, so that one wrong place does not decide."""
_HEIGHTS: Final = np.linspace(0.02, 0.98, 49)


def above_ground(maps: NDArray[np.float32], weights: NDArray[np.float32] | None = None) -> NDArray[np.float64]:
    """Return the chance that each place lies above the horizon, if there is one; float64[rows, columns], 0.02 to 0.98.

    A logistic head on one place of an inner layer: it tells sky and far shores from water and ground.

    Parameters
    ----------
    maps : float32[d, rows, columns], ``Seen.before`` of one picture. weights : float32[d + 1], the last for one; None
        for those that come with the package.

    Raises
    ------
    BadInput
        Where the weights are missing from the installation.
    """
    head = weights_of(GROUND_FILE)[LITE_WEIGHTS] if weights is None else weights
    logits = np.tensordot(head[:-1], maps, 1).astype(np.float64) + float(head[-1])
    chance: NDArray[np.float64] = np.clip(1 / (1 + np.exp(-np.clip(logits, -30, 30))), _SURE, 1 - _SURE)
    return chance


def above_ground_by_clip(places: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the same as ``above_ground`` from ``ClipSeen.places``, float32[rows, columns, d]; errors as there."""
    return above_ground(places.transpose(2, 0, 1), weights_of(GROUND_FILE)[CLIP_WEIGHTS])


def share_above(height: float, rise: float, shape: tuple[int, int]) -> NDArray[np.float64]:
    """Return which share of each place lies above a line; float64[rows, columns].

    Parameters
    ----------
    height : of the line at the centre column, 0 at the top, 1 at the bottom. rise : how much lower its right end is
        than its left end, as a share of the picture's height. shape : rows and columns of places.
    """
    rows, columns = shape
    at = height + rise * ((np.arange(columns) + 0.5) / columns - 0.5)
    share: NDArray[np.float64] = np.clip(at[None] * rows - np.arange(rows)[:, None], 0.0, 1.0)
    return share


def agreement(above: NDArray[np.float64], height: float, rise: float) -> float:
    """Return how well a line parts what lies above from what lies below: mean log chance of the places, -4 to 0.

    Parameters
    ----------
    above : float64[rows, columns], see ``above_ground``. height, rise : see ``share_above``.
    """
    share = share_above(height, rise, (above.shape[0], above.shape[1]))
    return float((share * np.log(above) + (1 - share) * np.log(1 - above)).mean())


def best_agreement(above: NDArray[np.float64]) -> float:
    """Return the best ``agreement`` of level lines at any height."""
    share = np.clip(_HEIGHTS[:, None] * len(above) - np.arange(len(above)), 0.0, 1.0)
    upper, lower = np.log(above).sum(axis=1), np.log(1 - above).sum(axis=1)
    return float((share @ upper + (1 - share) @ lower).max() / above.size)
