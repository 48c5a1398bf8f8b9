"""A frame's pixels as the set uses them: levelled, cropped, corrected, in colour or mono."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.falloff import with_falloff
from setsolver.colour.texture import grain_map
from setsolver.colour.toning import toned
from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.domain.outcome import Correction, SetFrame, ToneRecord
from setsolver.domain.tone_curve import toning_of

__all__ = ["correct", "cut", "finish"]

Pixels = NDArray[np.uint8]


def finish(rgb: Pixels, frame: SetFrame, long_side: int | None = None) -> Pixels:
    """Return the finished picture of a frame of a set: ``cut``, then ``correct``.

    Parameters
    ----------
    rgb : uint8[H, W, 3], sRGB, the whole upright frame at any size.
    frame : its crop, levelling, measured tone, correction and treatment.
    long_side : pixels of the result's longer side, None = as many as the crop has.

    Returns
    -------
    uint8[h, w, 3], sRGB.
    """
    part = cut(rgb, frame.crop, frame.level_degrees, long_side)
    return correct(part, frame.tone, frame.correction, frame.treatment)


def cut(
    rgb: Pixels, crop: tuple[float, float, float, float], level: float = 0.0, long_side: int | None = None
) -> Pixels:
    """Return the levelled crop of a frame, scaled down to ``long_side`` (never up); uint8[h, w, 3].

    crop : fractions of the levelled frame; level : degrees counter-clockwise, both as in ``domain.geometry``.
    """
    height, width = rgb.shape[:2]
    longest = max(crop[2] * width, crop[3] * height)
    scale = 1.0 if long_side is None else min(1.0, long_side / longest)
    small = _scaled(rgb, scale)
    shown = max(1, round(crop[2] * width * scale)), max(1, round(crop[3] * height * scale))
    corners = corners_on_frame(Box(*crop), level, width / height) * (small.shape[1], small.shape[0]) - 0.5
    target = np.array([[0, 0], [shown[0], 0], [shown[0], shown[1]]]) - 0.5  # pixel centres lie at whole numbers
    warp = cv2.getAffineTransform(target.astype(np.float32), corners[:3].astype(np.float32))
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(small, warp, shown, flags=flags, borderMode=cv2.BORDER_REPLICATE), np.uint8)


def _scaled(rgb: Pixels, scale: float) -> Pixels:
    if scale == 1.0:
        return np.ascontiguousarray(rgb)
    size = max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale))
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), np.uint8)


def correct(rgb: Pixels, tone: ToneRecord, correction: Correction, treatment: str = "colour") -> Pixels:
    """Return pixels with their tone corrected: L* through the curve, near-neutral a*, b* shifted by the cast.

    The shift fades out for colours far from the frame's own greys, so that saturated colours keep. Mono has no a*, b*.
    Where the look asks for them, the falloff is evened in light before, and grain given or taken after.
    """
    lab = np.asarray(cv2.cvtColor(rgb.astype(np.float32) / np.float32(255), cv2.COLOR_RGB2Lab), np.float32)
    lab = toned(with_falloff(lab, correction.vignette), toning_of(tone, correction, treatment))
    if correction.grain:
        lab[..., 0] += grain_map(lab[..., 0], tone.grain, correction.grain, 0)
    back = np.asarray(cv2.cvtColor(lab, cv2.COLOR_Lab2RGB), np.float32)
    return np.rint(np.clip(back, 0.0, 1.0) * 255).astype(np.uint8)
