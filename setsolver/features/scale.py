"""Shot scale: odds of wide, medium and close for a frame and for its inner view."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds, Subject
from setsolver.features.likeness import embed
from setsolver.features.models import Models
from setsolver.features.views import Views

__all__ = ["SURE", "UNSURE", "cut", "inner_box", "scale_alone", "scale_odds"]

_INNER = 0.5
"""Width and height of the inner view, as a share of the frame's."""
_QUARTER = 192
"""Side, in pixels, at which the network reads the quarters. It costs 0.73 of 224, and the mean of four tells scale as
well. The inner view takes 224: its odds by itself, which crops rest on, are less often close at 192."""
UNSURE = 0.65
"""Odds of the likeliest scale below which a frame is looked at in more views: about one photograph in five."""
SURE = 0.95
"""Odds of the likeliest scale, told from the frame's embedding alone, that a closer look does not mend: about one
photograph in three reaches them, and as many of these are right without it."""


def inner_box(subject: Subject) -> Box:
    """Return the view at half the frame's width and height that lies about the subject, inside the frame."""
    x, y = subject.box.centre
    return Box(min(max(x - _INNER / 2, 0.0), 1 - _INNER), min(max(y - _INNER / 2, 0.0), 1 - _INNER), _INNER, _INNER)


def cut(views: Views, box: Box) -> NDArray[np.uint8]:
    """Return the preview's pixels in a box, at least one pixel wide and high."""
    height, width = views.rgb.shape[:2]
    top, left = int(box.y * height), int(box.x * width)
    bottom, right = max(top + 1, round(box.bottom * height)), max(left + 1, round(box.right * width))
    return views.rgb[top:bottom, left:right]


def scale_alone(whole: NDArray[np.floating], models: Models) -> ScaleOdds:
    """Return the odds of a picture from its embedding, float[1280], alone."""
    (odds,) = models.scale_alone.odds(whole[None])
    return ScaleOdds(*(float(p) for p in odds))


def scale_odds(
    views: Views, whole: NDArray[np.floating], alone: ScaleOdds, inner: Box, models: Models
) -> tuple[ScaleOdds, ScaleOdds]:
    """Return the odds of a frame, and of its inner view as a picture of its own.

    A frame that is sure by ``alone`` (``scale_alone`` of it) is that, and where it is close so is its inner view: what
    fills a frame fills its part. Others are told from ``whole`` and the inner view's embedding together, and those that
    stay unsure from their four quarters too, whose mean with the inner view is what the head was fitted to. The heads
    are fitted and judged by benchmarks/features/fit_heads.py, this way of looking by scale_views.py.
    """
    if alone.close >= SURE:
        return alone, alone
    (inside,) = embed([cut(views, inner)], models.embedding)
    if alone.sure >= SURE:
        return alone, scale_alone(inside, models)
    (frame,) = models.scale.odds(np.concatenate([whole, inside])[None])
    if frame.max() < UNSURE:
        quarters = embed(_quarters(views.middle), models.embedding, _QUARTER)
        parts = np.vstack([quarters, inside[None]]).astype(np.float32)
        (frame,) = models.scale.odds(np.concatenate([whole, parts.mean(axis=0)])[None])
    return ScaleOdds(*(float(p) for p in frame)), scale_alone(inside, models)


def _quarters(picture: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    height, width = (max(1, side // 2) for side in picture.shape[:2])
    return [picture[top:, left:][:height, :width] for top in (0, height) for left in (0, width)]
