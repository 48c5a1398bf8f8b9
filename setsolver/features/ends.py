"""What opens a story and what ends it, as CLIP sees it (benchmarks/taste/fit_order.py)."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.models import weights_of

__all__ = ["ENDS_FILE", "ends_seen"]

ENDS_FILE: Final = "ends.npz"


def ends_seen(contents: NDArray[np.floating]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how much each of n prints looks like an opening and like an ending, in logits of an order; [n] each.

    Parameters
    ----------
    contents : floating[n, 512], what CLIP says of each print beyond what it says of all, as unit vectors
        (``twins.centred``). Only differences between prints mean anything.

    Raises
    ------
    BadInput
        Where the weights are missing from the installation.
    """
    weights, rows = weights_of(ENDS_FILE), np.asarray(contents, np.float64)
    return rows @ weights["opens"], rows @ weights["ends"]
