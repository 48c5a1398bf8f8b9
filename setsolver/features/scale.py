"""Shot scale: odds of wide, medium and close for a frame and for its inner view."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds, Subject
from setsolver.features.likeness import embed
from setsolver.features.models import Models
from setsolver.features.views import Views

__all__ = ["UNSURE", "cut", "inner_box", "scale_odds"]

_INNER = 0.5
"""Width and height of the inner view, as a share of the frame's."""
UNSURE = 0.6
"""Odds of the likeliest scale below which a frame is looked at in more views: about one frame in eight."""


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


def scale_odds(
    whole: NDArray[np.floating], inner: NDArray[np.floating], views: Views, models: Models
) -> tuple[ScaleOdds, ScaleOdds]:
    """Return the odds of a frame and of its inner view from their embeddings, each float[1280].

    The frame is told from both; what the inner view would be as a picture of its own, from its embedding alone. A frame
    that stays unsure is looked at in its four quarters too, whose mean with the inner view is what the head was fitted
    to. The heads are fitted and judged by benchmarks/features/fit_heads.py, this way of looking by scale_views.py.
    """
    (frame,) = models.scale.odds(np.concatenate([whole, inner])[None])
    if frame.max() < UNSURE:
        parts = np.vstack([embed(_quarters(views.middle), models.embedding), inner[None]]).astype(np.float32)
        (frame,) = models.scale.odds(np.concatenate([whole, parts.mean(axis=0)])[None])
    (alone,) = models.scale_alone.odds(inner[None])
    return ScaleOdds(*(float(p) for p in frame)), ScaleOdds(*(float(p) for p in alone))


def _quarters(picture: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    height, width = (max(1, side // 2) for side in picture.shape[:2])
    return [picture[top:, left:][:height, :width] for top in (0, height) for left in (0, width)]
