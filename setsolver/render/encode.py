"""L*a*b* (D65) to 16-bit L*a*b* under D50, the connection space that a colour profile takes over from."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import TO_XYZ, lab_to_linear
from setsolver.colour.profile import BRADFORD_TO_D50

__all__ = ["SRGB_TO_D50", "to_connection_space"]

SRGB_TO_D50: Final = ((BRADFORD_TO_D50 @ TO_XYZ) / (BRADFORD_TO_D50 @ TO_XYZ).sum(axis=1, keepdims=True)).astype(
    np.float32
)
_EPSILON: Final = 216 / 24389
_KAPPA: Final = 24389 / 27


def to_connection_space(lab: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return L*a*b* under D50, the profile connection space (ICC.1:2022, 6.3), by a Bradford change. [h, w, 3]."""
    ratio = np.asarray(cv2.transform(lab_to_linear(lab), SRGB_TO_D50), np.float32)
    root = np.cbrt(np.maximum(ratio, np.float32(_EPSILON)))
    f = np.where(ratio > _EPSILON, root, (ratio * np.float32(_KAPPA) + np.float32(16)) / np.float32(116))
    out = np.empty_like(lab)
    out[..., 0] = 116 * f[..., 1] - 16
    out[..., 1] = 500 * (f[..., 0] - f[..., 1])
    out[..., 2] = 200 * (f[..., 1] - f[..., 2])
    return out
