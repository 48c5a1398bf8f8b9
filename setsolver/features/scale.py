"""Shot scale: odds of wide, medium and close for a frame and for its inner view."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds, Subject
from setsolver.features.likeness import embed
from setsolver.features.models import Models
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, cut, views_of

__all__ = ["SURE", "UNSURE", "inner_box", "scale_alone", "scale_odds"]

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


def scale_alone(whole: NDArray[np.floating], models: Models) -> ScaleOdds:
    """Return the odds of a picture from its embedding, float[1280], alone."""
    (odds,) = models.scale_alone.odds(whole[None])
    return ScaleOdds(*(float(p) for p in odds))


def scale_odds(
    views: Views, whole: NDArray[np.floating], inside: NDArray[np.floating], alone: ScaleOdds, models: Models
) -> ScaleOdds:
    """Return the odds of a frame from its embedding and that of its inner view, float[1280] each.

    A frame that is sure by ``alone`` (``scale_alone`` of it) is that. Others are told from both embeddings together,
    and those that stay unsure from their four quarters too, whose mean with the inner view is what the head was fitted
    to. The heads are fitted and judged by benchmarks/features/fit_heads.py, this way of looking by scale_views.py.
    """
    if alone.sure >= SURE:
        return alone
    (frame,) = models.scale.odds(np.concatenate([whole, inside])[None])
    if frame.max() < UNSURE:
        quarters = embed(_quarters(views.middle), models.embedding, _QUARTER)
        parts = np.vstack([quarters, inside[None]]).astype(np.float32)
        (frame,) = models.scale.odds(np.concatenate([whole, parts.mean(axis=0)])[None])
    return ScaleOdds(*(float(p) for p in frame))


def _quarters(picture: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    height, width = (max(1, side // 2) for side in picture.shape[:2])
    return [picture[top:, left:][:height, :width] for top in (0, height) for left in (0, width)]


@feature("inner")
def _inner(sight: Sight) -> Box:
    return inner_box(sight.found.subject)


@feature("inner_embedding")
def _inner_embedding(sight: Sight) -> NDArray[np.float16]:
    (inside,) = embed([cut(sight.once(views_of), sight.found.inner)], sight.models.embedding)
    return np.asarray(inside)


@feature("odds")
def _odds(sight: Sight) -> ScaleOdds:
    found = sight.found
    alone = scale_alone(found.embedding, sight.models)
    return scale_odds(sight.once(views_of), found.embedding, found.inner_embedding, alone, sight.models)


@feature("inner_odds")
def _inner_odds(sight: Sight) -> ScaleOdds:
    """Where the frame is surely close so is its inner view: what fills a frame fills its part."""
    alone = scale_alone(sight.found.embedding, sight.models)
    return alone if alone.close >= SURE else scale_alone(sight.found.inner_embedding, sight.models)
