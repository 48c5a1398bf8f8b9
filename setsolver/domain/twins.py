"""Twins: two frames that a viewer would call a repeat of each other, though they are not the same picture.

The same perch, table or wall at another minute. Near-duplicates (``features.likeness``) are twins too; kin,
which belong together and are different pictures, are not.
"""

from __future__ import annotations

from math import log
from typing import Final

__all__ = ["TWINS", "likeness_of"]

_SLOPE: Final = 16.19
_OFFSET: Final = -11.01
"""Of the log odds by likeness; fitted to pairs that were read by eye (benchmarks/features/twins.py)."""
TWINS: Final = -_OFFSET / _SLOPE
"""Likeness from which two frames are rather twins than not: even odds."""


def likeness_of(chance: float) -> float:
    """Return the likeness at which two frames are twins with a chance between 0 and 1, both left out."""
    least, most = 1e-6, 1 - 1e-6
    inside = min(max(chance, least), most)
    return (log(inside / (1 - inside)) - _OFFSET) / _SLOPE
