"""A cut: the shape of a crop, and what of it will not be seen or be seen badly once it is bound and trimmed."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Cut"]


class Cut(NamedTuple):
    """What is asked of a crop's place.

    aspect : width over height. margin : shares of its sides (left, top, right, bottom) in which nothing that matters
    may lie, for they are trimmed away or stand too near the edge. strip : from and to, shares of its width, that the
    fold of a spread swallows; (0, 0) = it lies across no fold.
    """

    aspect: float
    margin: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    strip: tuple[float, float] = (0.0, 0.0)

    @property
    def whole(self) -> bool:
        """True where all of the crop is seen."""
        return not any(self.margin) and self.strip[1] <= self.strip[0]
