"""Shot scale: odds of wide, medium and close for a frame and for its inner view."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds, Subject
from setsolver.features.likeness import embed
from setsolver.features.models import Models
from setsolver.features.views import Views

__all__ = ["SURELY_CLOSE", "UNSURE", "cut", "inner_box", "scale_alone", "scale_odds"]

_INNER = 0.5
"""Width and height of the inner view, as a share of the frame's."""
_CLOSER = 192
"""Side, in pixels, at which the network reads the inner view and the quarters. It costs 0.73 of 224 and tells scale as
well: a part of a frame shows its things larger anyway."""
UNSURE = 0.65
"""Odds of the likeliest scale below which a frame is looked at in more views: about one photograph in five."""
SURELY_CLOSE = 0.95
"""Odds of close, told from the frame's embedding alone, from which its inner view cannot matter: as many frames of the
table of benchmarks/features/fit_heads.py are right with it as without. It spares one frame in twenty a look."""


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

    The frame is told from its embedding ``whole`` and its inner view's. One that stays unsure is looked at in its four
    quarters too, whose mean with the inner view is what the head was fitted to. One that is surely close by ``alone``
    (``scale_alone`` of it) is not looked at again: a closer view of what fills the frame is close too. The heads are
    fitted and judged by benchmarks/features/fit_heads.py, this way of looking by scale_views.py.
    """
    if alone.close >= SURELY_CLOSE:
        return alone, alone
    (inside,) = embed([cut(views, inner)], models.embedding, _CLOSER)
    (frame,) = models.scale.odds(np.concatenate([whole, inside])[None])
    if frame.max() < UNSURE:
        quarters = embed(_quarters(views.middle), models.embedding, _CLOSER)
        parts = np.vstack([quarters, inside[None]]).astype(np.float32)
        (frame,) = models.scale.odds(np.concatenate([whole, parts.mean(axis=0)])[None])
    return ScaleOdds(*(float(p) for p in frame)), scale_alone(inside, models)


def _quarters(picture: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    height, width = (max(1, side // 2) for side in picture.shape[:2])
    return [picture[top:, left:][:height, :width] for top in (0, height) for left in (0, width)]
