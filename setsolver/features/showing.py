"""Showing: whether people are caught in what they do, stand about, perform or pose for the camera.

Told from CLIP's embedding by a head that benchmarks/features/fit_showing.py fits to frames that vision models named by
what they show. It tells what is done, not by whom.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from setsolver.domain.measures import Showing
from setsolver.features.models import weights_of
from setsolver.features.sight import Sight, feature
from setsolver.features.unit_head import unit_odds

__all__ = ["LETTERS", "SHOWING_FILE", "SUMS", "showing_of"]

SHOWING_FILE: Final = "showing.npz"
SUMS: Final = {"doing": "w", "about": "c", "performing": "s", "posing": "pt", "nobody": "abdgilo"}
LETTERS: Final = "".join(sorted("".join(SUMS.values())))
"""Of each kind the letters by which readers named it, and all in the order of the head: w doing something; c about; s
performer or speaker; p posed group, t one or two posing; a animal, b building, d thing, g graphic, i room, l landscape,
o other."""


def showing_of(embedding: np.ndarray) -> Showing:
    """Return what a picture shows people do, from CLIP's embedding [512]."""
    letter = dict(zip(LETTERS, unit_odds(weights_of(SHOWING_FILE), embedding).tolist(), strict=True))
    return Showing(*(sum(letter[one] for one in letters) for letters in SUMS.values()))


@feature("showing")
def _showing(sight: Sight) -> Showing | None:
    clip = sight.found.clip
    return None if clip is None else showing_of(clip.embedding)
