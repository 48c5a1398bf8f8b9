"""Content as words would tell it: the image tower of CLIP, one look a frame.

A. Radford et al., "Learning transferable visual models from natural language supervision", ICML 2021. The network was
trained on captions of the open web and carries their biases; models/NOTICE.md and the README say what that means here.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box, cell_cover
from setsolver.domain.measures import Clip
from setsolver.features.models import ClipNetwork, ClipSeen
from setsolver.features.sight import Sight, feature

__all__ = ["clip_of", "mean_over", "seen_by_clip"]

_SIDE: Final = 224
_GRID: Final = 14
_MEAN: Final = np.array([0.48145466, 0.4578275, 0.40821073], np.float32)
_DEVIATION: Final = np.array([0.26862954, 0.26130258, 0.27577711], np.float32)
"""Of the training pictures' sRGB values, 0 to 1, as the publisher's preprocessing has them."""


def clip_of(rgb: NDArray[np.uint8], network: ClipNetwork) -> ClipSeen:
    """Return what the network says of an RGB picture squeezed to 224 x 224 pixels.

    One picture at a time: its sums are quantised by the range that a batch has, so that a picture's numbers would
    otherwise depend on its neighbours.
    """
    squeezed = cv2.resize(rgb, (_SIDE, _SIDE), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    batch = ((squeezed - _MEAN) / _DEVIATION).transpose(2, 0, 1)[None]
    return network(np.ascontiguousarray(batch, np.float32))


def mean_over(tokens: NDArray[np.float32], box: Box) -> NDArray[np.float32]:
    """Return the mean of places, float32[14, 14, 768], over a box of the frame; places on its border count in part."""
    rows, columns = cell_cover(box.y, box.bottom, _GRID), cell_cover(box.x, box.right, _GRID)
    total: NDArray[np.float32] = np.einsum("r,c,rck->k", rows, columns, tokens)
    return total / np.float32(max(rows.sum() * columns.sum(), 1e-9))


def seen_by_clip(sight: Sight) -> ClipSeen:
    """Return what CLIP says of the frame; to be asked for by ``sight.once``."""
    return clip_of(sight.rgb, sight.models.clip)


@feature("clip")
def _clip(sight: Sight) -> Clip:
    seen = sight.once(seen_by_clip)
    inner = mean_over(seen.places, sight.found.inner)
    return Clip(*(part.astype(np.float16) for part in (seen.embedding, seen.places.mean(axis=(0, 1)), inner)))
