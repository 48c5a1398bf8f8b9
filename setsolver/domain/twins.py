"""Twins: two frames that a viewer would call a repeat of each other, though they are not the same picture.

The same perch, table or wall at another minute. Near-duplicates (``features.likeness``) are twins too; kin,
which belong together and are different pictures, are not.
"""

from __future__ import annotations

from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["SEEN", "SHARES", "TWINS", "content_part", "likeness_of"]

SHARES: Final = (0.4, 0.6)
"""Shares of EfficientNet-Lite0's and CLIP's cosines in a signature's. Pairs read by eye alone ask for 0.59 and 0.41,
by a hair (benchmarks/features/twins.py); what editors keep apart in a set is told better by more of CLIP's
(benchmarks/taste)."""
SEEN: Final = 1280
"""Length of the first part of a signature, EfficientNet-Lite0's; the rest is CLIP's."""

_SLOPE: Final = 17.01
_OFFSET: Final = -12.13
"""Of the log odds by likeness; fitted to pairs that were read by eye (benchmarks/features/twins.py)."""
TWINS: Final = -_OFFSET / _SLOPE
"""Likeness from which two frames are rather twins than not: even odds."""


def likeness_of(chance: float) -> float:
    """Return the likeness at which two frames are twins with a chance between 0 and 1, both left out."""
    least, most = 1e-6, 1 - 1e-6
    inside = min(max(chance, least), most)
    return (log(inside / (1 - inside)) - _OFFSET) / _SLOPE


def content_part(signatures: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return what CLIP alone says of frames, unit vectors float32[n, d - SEEN], of their signatures [n, d]."""
    part: NDArray[np.float32] = signatures[:, SEEN:] / np.float32(np.sqrt(SHARES[1]))
    return part
