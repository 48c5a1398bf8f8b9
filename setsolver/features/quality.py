"""Quality: one technical figure from sharpness, clipping, tonal range and grain."""

from __future__ import annotations

import numpy as np

from setsolver.domain.measures import Detail, Face, Tone

__all__ = ["quality"]


def quality(tone: Tone, detail: Detail, faces: tuple[Face, ...]) -> float:
    """Return technical quality, 0 to 1: a weighted mean of five parts, each 0 to 1.

    Sharpness counts most; where there are faces, the largest one's sharpness counts as much as the frame's. A dark,
    soft or grainy picture can be intended: no part alone takes more than half.

    Common practice, no source: the weights are ours.
    """
    sharp = detail.sharpness
    if faces:
        sharp = 0.5 * sharp + 0.5 * faces[0].sharpness
    whole = float(np.exp(-12 * tone.clipped_high - 4 * tone.clipped_low))
    tonal_range = min(1.0, (tone.white - tone.black) / 70.0)
    clean = float(np.exp(-max(0.0, detail.grain - 0.8) / 2.0))
    return 0.45 * sharp + 0.10 * (1.0 - detail.motion) + 0.20 * whole + 0.15 * tonal_range + 0.10 * clean
