"""Quality: one technical figure from sharpness, motion, clipping, tonal range and grain."""

from __future__ import annotations

from math import exp
from typing import Final

import numpy as np

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Detail, Face, Tone, ToneTiles
from setsolver.domain.tone_tiles import lightness_of_crop
from setsolver.features.sight import Sight, feature

__all__ = ["PARTS", "quality"]

PARTS: Final = {"sharp": 0.54, "still": 0.10, "highlights": 0.16, "shadows": 0.02, "range": 0.06, "clean": 0.12}
"""Weight of each part; together 1 (common practice, no source). Black is often meant, blown light seldom is."""
_FACE: Final = 0.08
"""Height of a face, as a share of the frame's, from which its own sharpness counts: a smaller one has too few edges."""
_WHITE: Final = 98
"""L* from which a tone of the subject counts as blown."""
_HALF_BLOWN: Final = 1 / 15
"""Share of blown pixels that costs half of the highlights."""
_RANGE: Final = 95.0
"""Tonal range, in L*, that a print can hold at most."""
_GRAIN: Final = (0.4, 1.2)
"""Grain, in L*, up to which a frame is clean, and what it takes to fall to 1 / e of that."""


def quality(tone: Tone, tiles: ToneTiles, detail: Detail, subject: Box, faces: tuple[Face, ...]) -> float:
    """Return technical quality, 0 to 1: a mean, weighted by ``PARTS``, of parts that are 0 to 1 each.

    Sharpness counts most; a face of size counts as much in it as the frame. Highlights are judged where they hurt
    more, in the whole frame or in the subject. A dark, soft or grainy picture can be intended: no part alone takes
    more than about half, and fog, night and shallow focus hardly anything.
    """
    sharp = detail.sharpness
    if faces and faces[0].box.h >= _FACE:
        sharp = 0.5 * sharp + 0.5 * faces[0].sharpness
    clean_to, fall = _GRAIN
    parts = {
        "sharp": sharp,
        "still": 1.0 - detail.motion,
        "highlights": 1.0 / (1.0 + max(tone.clipped_high, _blown(tiles, subject)) / _HALF_BLOWN),
        "shadows": exp(-4 * tone.clipped_low),
        "range": min(1.0, (tone.white - tone.black) / _RANGE),
        "clean": exp(-max(0.0, detail.grain - clean_to) / fall),
    }
    return float(np.clip(sum(PARTS[name] * part for name, part in parts.items()), 0.0, 1.0))


def _blown(tiles: ToneTiles, subject: Box) -> float:
    """Return the share of the subject that is as light as can be."""
    lightness = lightness_of_crop(tiles, subject)
    return float(lightness[_WHITE:].sum() / max(float(lightness.sum()), 1e-9))


@feature("quality")
def _quality(sight: Sight) -> float:
    found = sight.found
    return quality(found.tone, found.tiles, found.detail, found.subject.box, found.faces)
