"""People: the chance that a frame shows any, faces or not."""

from __future__ import annotations

from math import exp

import numpy as np

from setsolver.features.models import weights_of
from setsolver.features.sight import Sight, feature

__all__ = ["PEOPLE_FILE", "people_chance"]

PEOPLE_FILE = "people.npz"


def people_chance(embedding: np.ndarray) -> float:
    """Return the chance, 0 to 1, that a picture shows people, from CLIP's embedding [512].

    Logistic regression on the unit vector, fitted by benchmarks/taste/fit_people.py.
    """
    head = weights_of(PEOPLE_FILE)
    unit = np.asarray(embedding, np.float64) / max(float(np.linalg.norm(np.asarray(embedding, np.float64))), 1e-9)
    return 1.0 / (1.0 + exp(-float(unit @ head["weights"]) - float(head["bias"][0])))


@feature("people")
def _people(sight: Sight) -> float | None:
    clip = sight.found.clip
    return None if clip is None else people_chance(clip.embedding)
