"""Kind: whether a frame is a photograph, a document, or a screen (a slide, a screen, a graphic).

Told from CLIP's embedding by a head that benchmarks/features/fit_kind.py fits to photographs, to pictures told apart by
eye, and to made-up pages and slides.
"""

from __future__ import annotations

from setsolver.domain.measures import Kind
from setsolver.features.models import KIND_FILE, weights_of
from setsolver.features.sight import Sight, feature
from setsolver.features.unit_head import unit_odds

__all__: list[str] = []


@feature("kind")
def _kind(sight: Sight) -> Kind | None:
    clip = sight.found.clip
    return None if clip is None else Kind(*unit_odds(weights_of(KIND_FILE), clip.embedding).tolist())
