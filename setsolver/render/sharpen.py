"""Sharpening for the size of the print: an unsharp mask on L* alone, as fine as the eye is where the print is seen."""

from __future__ import annotations

from math import ceil, hypot, radians, tan
from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.units import CM_PER_INCH

__all__ = ["CORE", "LIMIT", "PLAIN", "Sharpening", "sharpened", "sharpening_for"]

_ARCMINUTE: Final = tan(radians(1 / 60))
"""What an eye of visual acuity 1.0 tells apart (ISO 8596), as a share of the distance."""
_NEAREST_CM: Final = 30.0
"""Nobody looks from nearer; from farther off, a print is seen from about its diagonal (common practice, no source)."""
_COARSEST: Final = 2.5
_AMOUNT: Final = 0.7
CORE: Final = 0.4
"""Differences in L* that are taken for grain and left alone (our choice, as the amount and the limit)."""
LIMIT: Final = 5.0
"""Most that a pixel is moved, in L*: a halo is not to be seen."""


class Sharpening(NamedTuple):
    """sigma : of the blur that is taken away, in pixels of the print, 0 = none. amount : share of the rest added."""

    sigma: float
    amount: float = _AMOUNT

    @property
    def margin(self) -> int:
        """Return the pixels around a tile that its own pixels depend on."""
        return ceil(3 * self.sigma) if self.sigma > 0 else 0


PLAIN: Final = Sharpening(0.0, 0.0)


def sharpening_for(width_cm: float, height_cm: float, ppi: float) -> Sharpening:
    """Return the sharpening of a print: half of what the eye tells apart from where it is seen."""
    distance = max(_NEAREST_CM, hypot(width_cm, height_cm))
    return Sharpening(min(_COARSEST, max(0.5, distance * _ARCMINUTE / CM_PER_INCH * ppi / 2)))


def sharpened(lab: NDArray[np.float32], sharpening: Sharpening) -> NDArray[np.float32]:
    """Return L*a*b* sharpened, without the margin that it came with; float32[h, w, 3]."""
    margin = sharpening.margin
    if margin == 0:
        return lab
    lightness = np.ascontiguousarray(lab[..., 0])
    side = 2 * margin + 1
    detail = lightness - cv2.GaussianBlur(lightness, (side, side), sharpening.sigma)
    detail = detail[margin:-margin, margin:-margin]
    strong = np.sign(detail) * np.maximum(np.abs(detail) - np.float32(CORE), 0)
    inner = lab[margin:-margin, margin:-margin].copy()
    inner[..., 0] += np.clip(strong * np.float32(sharpening.amount), -LIMIT, LIMIT)
    return inner
