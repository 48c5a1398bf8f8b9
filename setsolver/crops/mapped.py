"""What a frame's crop map says of crops: what they hold, and what their borders run through."""

from __future__ import annotations

import numpy as np

from setsolver.crops.attention import shares
from setsolver.crops.cutting import ENDS
from setsolver.domain.problem import Floats

__all__ = ["borders", "wanted"]


def wanted(sums: Floats, boxes: Floats) -> Floats:
    """Return what crops [F, P, 4] hold, less what the whole frame does, in logits of being chosen; [F, P].

    Parameters
    ----------
    sums : [F, 15, 15], running sums of the map of what a place is worth inside.
    """
    return shares(sums, boxes) - sums[:, -1:, -1]


def borders(sums: Floats, boxes: Floats) -> tuple[Floats, Floats]:
    """Return what it is worth to let the borders of crops [F, P, 4] run where they do, mostly under 0; each [F, P].

    A place on either side of a border counts. First for all sides that cut the frame, together; then for the worst of
    the sides that the frame itself ends: no fault of the crop, yet what lies there may be cut. 0 without such a side.

    Parameters
    ----------
    sums : [F, 15, 15], running sums of the map of what a border through a place is worth.
    """
    place = 1.0 / (sums.shape[1] - 1)
    x, y, wide, high = (boxes[..., k] for k in range(4))
    crossed: Floats = np.zeros(boxes.shape[:-1])
    ended: Floats = np.full(boxes.shape[:-1], np.inf)
    for at, start, length, upright in (
        (x, y, high, True),
        (x + wide, y, high, True),
        (y, x, wide, False),
        (y + high, x, wide, False),
    ):
        low, up = np.clip(at - place, 0.0, 1.0), np.clip(at + place, 0.0, 1.0)
        strip = (low, start, up - low, length) if upright else (start, low, length, up - low)
        side = shares(sums, np.stack(strip, axis=-1))
        cut = (at > ENDS) & (at < 1 - ENDS)
        crossed = crossed + np.where(cut, side, 0.0)
        ended = np.minimum(ended, np.where(cut, np.inf, side))
    return crossed, np.where(np.isinf(ended), 0.0, ended)
