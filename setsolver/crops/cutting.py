"""What is cut at the edge, by a crop or by the frame itself: faces of any size, and the subject; crowds told apart."""

from __future__ import annotations

import numpy as np

from setsolver.crops.columns import CROWD_FACE
from setsolver.domain.problem import Floats

__all__ = ["free_sides", "headroom", "people_whole"]

TOUCHES = 0.004
"""Distance from the frame's border, as a share of its side, within which a face is cut by the frame itself."""
MEETS = 0.02
"""Distance from the crop's border, as a share of its side, within which the subject runs out of it."""
SURE = 0.6
"""Confidence from which a subject counts in full."""
ROOM = 0.6
"""Room above a face, in heights of the face, that hair and air need (common practice, no source)."""


def people_whole(faces: Floats, boxes: Floats) -> Floats:
    """Return 1 where no face is cut, 0 where a main one is cut in half or ends with the frame; [F, P].

    A face that is left out whole is no fault here. One counts by its height: fully from half the largest one's, and
    less the smaller it is, for nobody minds who is cut at the end of a crowd.

    Parameters
    ----------
    faces : [F, N, 4], NaN where there is none. boxes : [F, P, 4].
    """
    inside = _inside(faces[:, None], boxes[:, :, None])
    ends = np.any((faces[..., :2] <= TOUCHES) | (faces[..., :2] + faces[..., 2:] >= 1 - TOUCHES), axis=-1)
    cut = np.maximum(4 * inside * (1 - inside), inside * np.asarray(ends)[:, None])
    return 1 - _worst(cut * _counts(faces)[:, None])


def headroom(faces: Floats, boxes: Floats) -> Floats:
    """Return 1 where every face inside has room above it for its hair, 0 where one meets the crop's top; [F, P].

    Parameters
    ----------
    faces, boxes : as in ``people_whole``.
    """
    inside = _inside(faces[:, None], boxes[:, :, None]) > 0.5
    above = faces[:, None, :, 1] - boxes[:, :, None, 1]
    lacks = np.clip(1 - above / np.maximum(ROOM * faces[:, None, :, 3], 1e-9), 0.0, 1.0)
    return 1 - _worst(lacks * inside * _counts(faces)[:, None])


def free_sides(subject: Floats, sure: Floats, boxes: Floats) -> Floats:
    """Return the share of a crop's four sides at which the subject does not run out of it, 1 for a mere guess; [F, P].

    Parameters
    ----------
    subject : [F, 4]. sure : [F], confidence of the subject. boxes : [F, P, 4].
    """
    near = MEETS * boxes[..., 2:]
    start = subject[:, None, :2] <= boxes[..., :2] + near
    end = subject[:, None, :2] + subject[:, None, 2:] >= boxes[..., :2] + boxes[..., 2:] - near
    sides = start.mean(axis=-1) / 2 + end.mean(axis=-1) / 2
    return np.asarray(1 - sides * np.clip(sure / SURE, 0.0, 1.0)[:, None])


def _inside(box: Floats, crop: Floats) -> Floats:
    ends = np.minimum(box[..., :2] + box[..., 2:], crop[..., :2] + crop[..., 2:])
    overlap = np.maximum(0.0, ends - np.maximum(box[..., :2], crop[..., :2]))
    share = overlap[..., 0] * overlap[..., 1] / np.maximum(box[..., 2] * box[..., 3], 1e-9)
    return np.asarray(np.minimum(share, 1.0))


def _counts(faces: Floats) -> Floats:
    """Return how much each face counts, 0 to 1; [F, N]."""
    height = np.nan_to_num(faces[..., 3])
    largest = np.maximum(height.max(axis=1, keepdims=True), 1e-9)
    return np.asarray(np.clip(2 * height / largest, 0.0, 1.0) * np.clip(height / CROWD_FACE, 0.0, 1.0))


def _worst(faults: Floats) -> Floats:
    worst: Floats = np.nan_to_num(faults).max(axis=-1)
    return worst
