"""What matters stays out of the fold and off the trimmed edge: how far crops of a page fail in that.

Heads and a sure subject count. A subject that is as wide as half the crop lies across any fold and is a view, no
thing: only its heads are then kept out of the fold (common practice, no source).
"""

from __future__ import annotations

import numpy as np

from setsolver.crops.framing import HEAD, Scenery, grown, inside
from setsolver.domain.cut import Cut
from setsolver.domain.problem import Floats

__all__ = ["harm"]

SURE = 0.6
"""Confidence from which a subject is a thing that can be lost."""
ONE_THING = 0.5
"""Share of a side of the crop from which a subject is too large to be kept off the fold or the edge."""
HEADS = 0.97
"""Share of every head that has to be seen."""
SUBJECT = 0.8
"""Share of a sure subject that has to be seen: its box is drawn with room."""
FOLD = 0.06
"""Share of a sure subject that the fold may swallow."""


def harm(scenery: Scenery, boxes: Floats, cut: Cut) -> Floats:
    """Return how much of what matters crops [F, P, 4] lose to edge and fold; [F, P], 0 = nothing, 1 = all of one."""
    if cut.whole:
        return np.zeros(boxes.shape[:-1])
    heads = grown(scenery.everyone, *HEAD)
    known = ~np.isnan(heads[:, None, :, 0])
    within = _within(boxes, cut)
    thing = (scenery.sure >= SURE)[:, None]
    small = scenery.subject[:, None, 2:] <= ONE_THING * boxes[..., 2:]
    seen = inside(scenery.subject[:, None, :], within)
    lost = np.where(thing & small.all(axis=2), np.maximum(0.0, SUBJECT - seen), 0.0)
    heads_seen = np.where(known, inside(heads[:, None, :, :], within[..., None, :]), 1.0)
    lost = lost + np.maximum(0.0, HEADS - heads_seen).max(axis=2, initial=0.0)
    if cut.strip[1] > cut.strip[0]:
        fold = _fold(boxes, cut)
        cut_heads = np.where(known, inside(heads[:, None, :, :], fold[..., None, :]), 0.0)
        in_fold = np.where(thing & small[..., 0], inside(scenery.subject[:, None, :], fold), 0.0)
        lost = lost + cut_heads.max(axis=2, initial=0.0) + np.maximum(0.0, in_fold - FOLD)
    return np.asarray(lost)


def _within(boxes: Floats, cut: Cut) -> Floats:
    left, top, right, bottom = cut.margin
    x, y = boxes[..., 0] + left * boxes[..., 2], boxes[..., 1] + top * boxes[..., 3]
    return np.stack([x, y, (1 - left - right) * boxes[..., 2], (1 - top - bottom) * boxes[..., 3]], axis=-1)


def _fold(boxes: Floats, cut: Cut) -> Floats:
    start, end = cut.strip
    x = boxes[..., 0] + start * boxes[..., 2]
    return np.stack([x, boxes[..., 1], (end - start) * boxes[..., 2], boxes[..., 3]], axis=-1)
