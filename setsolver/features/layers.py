"""What CLIP's inner layers say of a frame, on few axes.

The class token is read after the layers 4, 6 and 9 of 0 to 11. With it the appeal of frames of one shoot is told better
than with the last layer alone (benchmarks/features/README.md, "Appeal"). It comes with the look that ``clip`` takes
anyway.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.features.clip import seen_by_clip
from setsolver.features.sight import Sight, feature

__all__: list[str] = []


@feature("layers")
def _layers(sight: Sight) -> NDArray[np.float16]:
    at: NDArray[np.float32] = sight.models.layers.at(sight.once(seen_by_clip).classes[None])[0]
    return at.astype(np.float16)
