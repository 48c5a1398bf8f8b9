"""Did-you-mean: the nearest known names for one that is not known."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["nearest_names"]


def nearest_names(given: str, known: Sequence[str]) -> str:
    """Return "; did you mean a or b?" for the nearest names, or an empty text where nothing is near."""
    by_end = [name for name in known if name.endswith(f"/{given}")]
    near = by_end[:2] or get_close_matches(given, known, n=2, cutoff=0.6)
    return f"; did you mean {' or '.join(near)}?" if near else ""
