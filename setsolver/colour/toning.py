"""A tone correction on L*a*b* pixels: lightness through a table, the cast taken from near-neutral colours, or mono."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["NEUTRAL", "SATURATED", "Toning", "toned"]

NEUTRAL: Final = 22.0
SATURATED: Final = 60.0
"""Chroma, counted from the frame's cast, up to which a cast correction acts whole, and from which it does not act."""
_STEPS: Final = 65535

Lab = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Toning:
    """What is done to L*a*b*.

    before, after : float64[n], the curve's table in L*, both increasing. cast : what is added to a*, b* of near-neutral
    colours. centre : a*, b* of the frame's own greys. chroma : factor of a*, b* before all else. mono : no a*, b*.
    """

    before: NDArray[np.float64]
    after: NDArray[np.float64]
    cast: tuple[float, float] = (0.0, 0.0)
    centre: tuple[float, float] = (0.0, 0.0)
    chroma: float = 1.0
    mono: bool = False
    _table: NDArray[np.float32] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        table = np.interp(np.linspace(0.0, 100.0, _STEPS + 1), self.before, self.after).astype(np.float32)
        object.__setattr__(self, "_table", table)

    def lightness(self, lightness: Lab) -> Lab:
        """Return L* after the curve; what lies outside 0 to 100 counts as 0 or 100."""
        steps = np.clip(lightness, 0.0, 100.0) * np.float32(_STEPS / 100.0) + np.float32(0.5)
        return self._table[steps.astype(np.uint16)]

    def then(self, other: Toning) -> Toning:
        """Return this one, which shifts no cast, followed by another, as one."""
        after = np.interp(self.after, other.before, other.after)
        return replace(other, before=self.before, after=after, chroma=self.chroma * other.chroma)


def toned(lab: Lab, toning: Toning) -> Lab:
    """Return corrected L*a*b*; float32[H, W, 3], made anew.

    The shift of the cast fades out for colours far from the frame's own greys, so that saturated colours keep.
    """
    result = np.empty_like(lab)
    result[..., 0] = toning.lightness(lab[..., 0])
    if toning.mono:
        result[..., 1:] = 0.0
        return result
    np.multiply(lab[..., 1:], np.float32(toning.chroma), out=result[..., 1:])
    if toning.cast != (0.0, 0.0):
        share = _share(result, toning.centre)
        result[..., 1] += share * np.float32(toning.cast[0])
        result[..., 2] += share * np.float32(toning.cast[1])
    return result


def _share(lab: Lab, centre: tuple[float, float]) -> Lab:
    """Return how much of a cast correction each pixel takes, 1 to 0 by a smooth step in chroma; float32[h, w]."""
    chroma = np.hypot(lab[..., 1] - np.float32(centre[0]), lab[..., 2] - np.float32(centre[1]))
    step = np.clip((SATURATED - chroma) / (SATURATED - NEUTRAL), 0.0, 1.0)
    smooth: Lab = (step * step * (3.0 - 2.0 * step)).astype(np.float32)
    return smooth
