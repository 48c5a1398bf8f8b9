"""Where a network looks: the embedding of a picture, and how strongly each of its places spoke for it."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.features.likeness import prepared
from setsolver.features.models import Network
from setsolver.features.sight import Sight, feature
from setsolver.features.views import views_of

__all__ = ["Glance", "glance", "look"]

_LAST_SHARE: Final = 0.4
"""Weight of the last layer, which knows things and blurs them; the rest goes to an earlier block, which places them."""


class Glance(NamedTuple):
    """embedding : float16[1280]. places : float32[7, 7], 0 to 1, how strongly each speaks. before : float32[192, 7, 7],
    what an earlier block says of each.
    """  # noqa: D205 - one list of fields

    embedding: NDArray[np.float16]
    places: NDArray[np.float32]
    before: NDArray[np.float32]


def look(picture: NDArray[np.uint8], network: Network) -> Glance:
    """Return an RGB picture's embedding, how strongly its places speak, and what an earlier block says of each.

    The embedding is a mean over 7 x 7 places, and what a network trained on things says of a place is strong where
    there is a thing: the norm over channels finds the main object without being taught where it is (X.-S. Wei et al.,
    "Selective convolutional descriptor aggregation", IEEE Trans. Image Processing 26(6), 2017).
    """
    seen = network(prepared([picture]))
    last, before = (_strength(maps[0]) for maps in (seen.last, seen.before))
    places = _LAST_SHARE * last + (1 - _LAST_SHARE) * before
    return Glance(seen.embedding[0].astype(np.float16), places, seen.before[0])


def _strength(maps: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the norm over channels, from 0 at the weakest place to 1 at the strongest (all 0 where none differs)."""
    norm: NDArray[np.float32] = np.sqrt(np.einsum("cij,cij->ij", maps, maps))
    span = float(np.ptp(norm))
    return (norm - norm.min()) / np.float32(span) if span > 0 else np.zeros_like(norm)


def glance(sight: Sight) -> Glance:
    """Return the look at the whole frame; to be asked for by ``sight.once``."""
    return look(sight.once(views_of).middle, sight.models.embedding)


@feature("embedding")
def _embedding(sight: Sight) -> NDArray[np.float16]:
    return sight.once(glance).embedding
