"""Crop map: what a crop should hold and where its border should not run, by what CLIP says of each place."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import CROP_MAP_STEPS
from setsolver.features.clip import seen_by_clip
from setsolver.features.models import weights_of
from setsolver.features.sight import Sight, feature

__all__ = ["CROP_MAP_FILE", "crop_map_of"]

CROP_MAP_FILE: Final = "crop_map.npz"
_MOST: Final = 127


def crop_map_of(places: NDArray[np.float32]) -> NDArray[np.int8]:
    """Return two maps of the frame, int8[2, 14, 14], rows from the top, in ``CROP_MAP_STEPS`` of a logit.

    The first: what it is worth to have a place inside a crop. The second: what it is worth, mostly less than nothing,
    to let a crop's border run through a place. Both are linear in what CLIP says of the place, and were fitted by
    benchmarks/features/fit_crop_map.py to crops that readers, vision-language models, chose among five.

    Parameters
    ----------
    places : float32[14, 14, 768], ``ClipSeen.places``.

    Raises
    ------
    BadInput
        Where the weights are missing from the installation.
    """
    head = weights_of(CROP_MAP_FILE)
    maps = (places @ head["weights"].T + head["bias"]).transpose(2, 0, 1) * np.asarray(CROP_MAP_STEPS, np.float32)[
        :, None, None
    ]
    codes: NDArray[np.int8] = np.clip(np.rint(maps), -_MOST, _MOST).astype(np.int8)
    return codes


@feature("crop_map")
def _crop_map(sight: Sight) -> NDArray[np.int8] | None:
    return None if sight.found.clip is None else crop_map_of(sight.once(seen_by_clip).places)
