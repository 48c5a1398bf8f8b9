"""Where and of what a frame is: two unit vectors whose dot products tell frames of one scene from others."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.models import weights_of
from setsolver.features.twins import centred, twin_means

__all__ = ["SCENES_FILE", "scene_parts"]

SCENES_FILE: Final = "scenes.npz"


def scene_parts(
    embeddings: NDArray[np.floating], places: NDArray[np.floating]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return unit vectors about the means of many shoots of what EfficientNet-Lite0 and CLIP's places say.

    Parameters
    ----------
    embeddings : floating[n, 1280], EfficientNet-Lite0's. places : floating[n, 768], the mean over CLIP's places; rows
        of frames at which CLIP has not looked say nothing of use.

    Raises
    ------
    BadInput
        Where the means are missing from the installation.
    """
    embedding_mean, _ = twin_means()
    return centred(embeddings, embedding_mean), centred(places, weights_of(SCENES_FILE)["places_mean"])
