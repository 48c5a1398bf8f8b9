"""All features of one frame, from its preview."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Measures, ScaleOdds
from setsolver.features.attention import look
from setsolver.features.detail import measure_detail, sharpness_tiles
from setsolver.features.edges import BlurMap
from setsolver.features.faces import LIKELY_PEOPLE, find_faces
from setsolver.features.grain import measure_noise
from setsolver.features.horizon import find_tilt
from setsolver.features.likeness import embed, perceptual_hash
from setsolver.features.models import Models
from setsolver.features.quality import quality
from setsolver.features.scale import cut, inner_box, scale_odds
from setsolver.features.subject import find_subject
from setsolver.features.tone import measure_tone
from setsolver.features.views import Views, make_views

__all__ = ["Models", "measure"]

_SURELY_CLOSE = 0.95
"""Odds of close, told from the frame's embedding alone, from which its inner view cannot matter."""


def measure(rgb: NDArray[np.uint8], *, models: Models) -> Measures:
    """Measure a frame.

    Parameters
    ----------
    rgb : uint8[H, W, 3], sRGB, upright, long side about 1280 pixels. models : as loaded in this process.

    Raises
    ------
    FrameRefused
        Where ``rgb`` is no picture that can be measured.
    """
    views = make_views(rgb)
    tone, tiles = measure_tone(views)
    noise = measure_noise(views.grey)
    edges = BlurMap(views.grey, noise.codes)
    sharp = sharpness_tiles(edges)
    whole, places = look(views.middle, models.embedding)
    people, horizon = (float(head.odds(whole[None])[0, 1]) for head in (models.people, models.horizon))
    alone = ScaleOdds(*(float(p) for p in models.scale_alone.odds(whole[None])[0]))
    faces = find_faces(views, models.faces, edges) if people >= LIKELY_PEOPLE else ()
    subject = find_subject(views, places, faces, alone.wide)
    detail = measure_detail(edges, sharp, subject.box, noise.lightness)
    inner = inner_box(subject)
    odds, inner_odds = _scale(views, whole, alone, inner, models)
    return Measures(
        tone=tone,
        tiles=tiles,
        detail=detail,
        tilt=find_tilt(views, horizon),
        subject=subject,
        faces=faces,
        quality=quality(tone, tiles, detail, subject.box, faces),
        odds=odds,
        inner=inner,
        inner_odds=inner_odds,
        phash=perceptual_hash(views.small),
        embedding=whole,
    )


def _scale(
    views: Views, whole: NDArray[np.float16], alone: ScaleOdds, inner: Box, models: Models
) -> tuple[ScaleOdds, ScaleOdds]:
    """Return the odds of the frame and of its inner view, which is not looked at where the frame is surely close.

    A closer view of what fills the frame is close too, and the frame's odds by its embedding alone are as often right
    there: the table of benchmarks/features/fit_heads.py stays the same. It spares a tenth of frames the network.
    """
    if alone.close >= _SURELY_CLOSE:
        return alone, alone
    (inside,) = embed([cut(views, inner)], models.embedding)
    return scale_odds(whole, inside, views, models)
