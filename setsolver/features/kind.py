"""Kind: whether a frame is a photograph, a document, or a screen (a slide, a screen, a graphic).

Told from CLIP's embedding by a head that benchmarks/features/fit_kind.py fits to photographs, to pictures told apart by
eye, and to made-up pages and slides.
"""

from __future__ import annotations

import numpy as np

from setsolver.domain.measures import Kind
from setsolver.features.appeal_head import unit_rows
from setsolver.features.head import softmax
from setsolver.features.sight import Sight, feature

__all__: list[str] = []


@feature("kind")
def _kind(sight: Sight) -> Kind | None:
    """Odds by a multinomial logistic model of the embedding about the training table's mean, of length 1."""
    clip = sight.found.clip
    if clip is None:
        return None
    head = sight.models.kind
    place = unit_rows(clip.embedding[None].astype(np.float64), head["mean"])
    (odds,) = softmax(place @ head["weights"].astype(np.float64) + head["bias"])
    return Kind(*(float(p) for p in odds))
