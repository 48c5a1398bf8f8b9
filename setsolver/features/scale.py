"""Shot scale: odds of wide, medium and close for a frame and for its inner view."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Clip, ScaleOdds, Subject
from setsolver.features.likeness import embed
from setsolver.features.models import Models
from setsolver.features.scale_head import ScaleHead
from setsolver.features.sight import Sight, feature
from setsolver.features.views import cut, views_of

__all__ = ["SURE", "inner_box", "scale_alone", "scale_odds", "whole_alone"]

_INNER = 0.5
"""Width and height of the inner view, as a share of the frame's."""
SURE = 0.95
"""Odds of close, told from the frame's embedding alone, from which its inner view is close too."""


def inner_box(subject: Subject) -> Box:
    """Return the view at half the frame's width and height that lies about the subject, inside the frame."""
    x, y = subject.box.centre
    return Box(min(max(x - _INNER / 2, 0.0), 1 - _INNER), min(max(y - _INNER / 2, 0.0), 1 - _INNER), _INNER, _INNER)


def scale_alone(whole: NDArray[np.floating], models: Models) -> ScaleOdds:
    """Return the odds of a picture from its embedding, float[1280], alone."""
    (odds,) = models.scale_alone.odds(whole[None])
    return ScaleOdds(*(float(p) for p in odds))


def whole_alone(sight: Sight) -> ScaleOdds:
    """Return the frame's odds from its own embedding alone; to be asked for by ``sight.once``."""
    return scale_alone(sight.found.embedding, sight.models)


def scale_odds(
    whole: NDArray[np.floating], inside: NDArray[np.floating], clip: Clip | None, head: ScaleHead
) -> ScaleOdds:
    """Return the odds of a frame from what the networks say of it and of its inner view.

    Parameters
    ----------
    whole, inside : float[1280], EfficientNet-Lite0's embeddings. clip : None where it was left for later, and the odds
        are told from the former alone. head : fitted and judged by benchmarks/features/fit_scale.py.
    """
    parts = None if clip is None else [part[None] for part in clip]
    (odds,) = head.odds(whole[None], inside[None], parts)
    return ScaleOdds(*(float(p) for p in odds))


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
    return scale_odds(found.embedding, found.inner_embedding, found.clip, sight.models.scale)


@feature("inner_odds")
def _inner_odds(sight: Sight) -> ScaleOdds:
    """Where the frame is surely close so is its inner view: what fills a frame fills its part."""
    alone = sight.once(whole_alone)
    return alone if alone.close >= SURE else scale_alone(sight.found.inner_embedding, sight.models)
