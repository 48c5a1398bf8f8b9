"""A fitted head on the direction of an embedding, whatever its length."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from setsolver.features.appeal_head import unit_rows
from setsolver.features.head import softmax

__all__ = ["unit_odds"]


def unit_odds(head: Mapping[str, NDArray[Any]], embedding: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return the odds of k classes for one embedding [d]; float64[k], sum 1.

    A multinomial logistic model of the embedding about the training table's ``mean`` [d], of length 1, with ``weights``
    [d, k] and ``bias`` [k].
    """
    place = unit_rows(np.asarray(embedding, np.float64)[None], head["mean"])
    (odds,) = softmax(place @ head["weights"].astype(np.float64) + head["bias"])
    return np.asarray(odds)
