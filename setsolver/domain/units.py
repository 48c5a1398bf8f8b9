"""Lengths in one unit or another."""

from __future__ import annotations

from typing import Final

__all__ = ["CM_PER_INCH", "MM_PER_INCH"]

CM_PER_INCH: Final = 2.54
"""Exactly, by definition (international yard and pound agreement of 1959)."""
MM_PER_INCH: Final = 10 * CM_PER_INCH
