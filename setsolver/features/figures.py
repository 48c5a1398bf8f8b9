"""Figures: where people are, faces or not, by what CLIP says of each place."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.features.clip import seen_by_clip
from setsolver.features.models import weights_of
from setsolver.features.sight import Sight, feature

__all__ = ["FIGURES_FILE", "figure_chances"]

FIGURES_FILE: Final = "figures.npz"
_FULL: Final = 255


def figure_chances(places: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Return the chance that each place shows a person or a part of one, in 255ths; uint8[14, 14], rows from the top.

    Logistic regression on one place, fitted by benchmarks/features/fit_figures.py to people boxed by eye: heads from
    behind and bodies without a face count as well as faces. It finds where somebody is, and names nobody.

    Parameters
    ----------
    places : float32[14, 14, 768], ``ClipSeen.places``.

    Raises
    ------
    BadInput
        Where the weights are missing from the installation.
    """
    head = weights_of(FIGURES_FILE)["weights"]
    logits = np.clip(places @ head[:-1] + head[-1], -30, 30)
    chances: NDArray[np.uint8] = np.rint(_FULL / (1 + np.exp(-logits))).astype(np.uint8)
    return chances


@feature("figures")
def _figures(sight: Sight) -> NDArray[np.uint8] | None:
    return None if sight.found.clip is None else figure_chances(sight.once(seen_by_clip).places)
