"""Shot scale of a crop: from that of the whole frame towards that of its inner view, by how much tighter it is."""

from __future__ import annotations

import numpy as np

from setsolver.domain.problem import Floats

__all__ = ["odds_of_crops"]


def odds_of_crops(whole: Floats, inner: Floats, boxes: Floats) -> Floats:
    """Return the odds of wide, medium, close for crops, [M, 3]; each row sums to 1.

    Parameters
    ----------
    whole : [M, 3], odds of the whole frame. inner : [M, 3], of the view at half its width and height.
    boxes : [M, 4], fractions.

    Notes
    -----
    A crop of linear size f lies log2(1 / f) of the way, at most all of it: the doubling of size on the print is what a
    viewer sees. A tighter crop is never wider than the frame, whatever the inner view says.
    """
    size = np.sqrt(boxes[:, 2] * boxes[:, 3])
    way = np.clip(-np.log2(np.maximum(size, 1e-9)), 0.0, 1.0)[:, None]
    between = whole * (1 - way) + inner * way
    wide = np.minimum(between[:, 0], whole[:, 0])
    close = np.maximum(between[:, 2], whole[:, 2])
    return np.stack([wide, np.maximum(0.0, 1.0 - wide - close), close], axis=1)
