"""All features of one frame, from its preview."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Measures
from setsolver.features.attention import look
from setsolver.features.detail import measure_detail, sharpness_tiles
from setsolver.features.edges import BlurMap
from setsolver.features.faces import LIKELY_PEOPLE, find_faces
from setsolver.features.grain import measure_noise
from setsolver.features.ground import above_ground
from setsolver.features.horizon import find_tilt
from setsolver.features.models import Models
from setsolver.features.phash import perceptual_hash
from setsolver.features.quality import quality
from setsolver.features.scale import inner_box, scale_alone, scale_odds
from setsolver.features.subject import find_subject
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views

__all__ = ["Models", "measure"]


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
    whole, places, maps = look(views.middle, models.embedding)
    people, horizon = (float(head.odds(whole[None])[0, 1]) for head in (models.people, models.horizon))
    alone = scale_alone(whole, models)
    faces = find_faces(views, models.faces, edges) if people >= LIKELY_PEOPLE else ()
    subject = find_subject(views, places, faces, alone.wide)
    detail = measure_detail(edges, sharp, subject.box, noise.lightness)
    inner = inner_box(subject)
    odds, inner_odds = scale_odds(views, whole, alone, inner, models)
    return Measures(
        tone=tone,
        tiles=tiles,
        detail=detail,
        tilt=find_tilt(views, horizon, above_ground(maps)),
        subject=subject,
        faces=faces,
        quality=quality(tone, tiles, detail, subject.box, faces),
        odds=odds,
        inner=inner,
        inner_odds=inner_odds,
        phash=perceptual_hash(views.small),
        embedding=whole,
    )
