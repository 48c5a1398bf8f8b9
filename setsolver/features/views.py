"""The few small pictures that all features share, made once from the preview."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import linear_to_lab, srgb_to_linear
from setsolver.domain.geometry import Box
from setsolver.errors import FrameRefused
from setsolver.features.sight import Sight
from setsolver.scaling import LEAST_SIDE, shrunk

__all__ = ["MIDDLE", "SMALL", "Views", "cut", "make_views", "views_of"]

MIDDLE = 640
"""Long side of the view that tone, horizon, faces and the embedding are read from."""
SMALL = 320
"""Long side of the view for large faces and saliency."""


@dataclass(frozen=True, slots=True, eq=False)
class Views:
    """rgb : uint8[H, W, 3] as given. grey : uint8[H, W]. middle, small : uint8 RGB at their long sides or less.

    linear, lab : float32[h, w, 3] of ``middle``, in linear light (0 to 1) and CIE L*a*b* (D65).
    """

    rgb: NDArray[np.uint8]
    grey: NDArray[np.uint8]
    middle: NDArray[np.uint8]
    small: NDArray[np.uint8]
    linear: NDArray[np.float32]
    lab: NDArray[np.float32]

    @property
    def aspect(self) -> float:
        """Width over height."""
        return float(self.rgb.shape[1] / self.rgb.shape[0])


def make_views(rgb: NDArray[np.uint8]) -> Views:
    """Return the shared views of an upright sRGB preview.

    Raises
    ------
    FrameRefused
        Where the array is no 8-bit RGB picture of at least 16 x 16 pixels.
    """
    if rgb.dtype != np.uint8 or rgb.ndim != 3 or rgb.shape[2] != 3:
        raise FrameRefused(f"a preview is uint8[height, width, 3] in sRGB, not {rgb.dtype}{list(rgb.shape)}")
    if min(rgb.shape[:2]) < LEAST_SIDE:
        size = f"{rgb.shape[1]} x {rgb.shape[0]}"
        raise FrameRefused(
            f"the picture is {size} pixels; at least {LEAST_SIDE} x {LEAST_SIDE} are needed to measure it"
        )
    rgb = np.ascontiguousarray(rgb)
    middle = shrunk(rgb, MIDDLE)
    linear = srgb_to_linear(middle)
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    return Views(rgb, grey, middle, shrunk(middle, SMALL), linear, linear_to_lab(linear))


def views_of(sight: Sight) -> Views:
    """Return the views of a frame; to be asked for by ``sight.once``."""
    return make_views(sight.rgb)


def cut(views: Views, box: Box) -> NDArray[np.uint8]:
    """Return the preview's pixels in a box, at least one pixel wide and high."""
    height, width = views.rgb.shape[:2]
    top, left = int(box.y * height), int(box.x * width)
    bottom, right = max(top + 1, round(box.bottom * height)), max(left + 1, round(box.right * width))
    return views.rgb[top:bottom, left:right]
