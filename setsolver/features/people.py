"""People: the chance that a frame shows any, faces or not."""

from __future__ import annotations

from functools import cache
from math import exp

import numpy as np

from setsolver.features.models import weights_file
from setsolver.features.sight import Sight, feature

__all__ = ["PEOPLE_FILE", "people_chance"]

PEOPLE_FILE = "people.npz"


def people_chance(embedding: np.ndarray) -> float:
    """Return the chance, 0 to 1, that a picture shows people, from CLIP's embedding [512].

    Logistic regression on the unit vector, fitted by benchmarks/taste/fit_people.py.
    """
    weights, bias = _head()
    unit = np.asarray(embedding, np.float64) / max(float(np.linalg.norm(np.asarray(embedding, np.float64))), 1e-9)
    return 1.0 / (1.0 + exp(-float(unit @ weights) - bias))


@cache
def _head() -> tuple[np.ndarray, float]:
    with np.load(weights_file(PEOPLE_FILE)) as arrays:
        return arrays["weights"].astype(np.float64), float(arrays["bias"][0])


@feature("people")
def _people(sight: Sight) -> float | None:
    clip = sight.found.clip
    return None if clip is None else people_chance(clip.embedding)
