"""What is cut at the edge: faces of any size, people without a face, and the subject; crowds told apart."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from setsolver.crops.attention import shares
from setsolver.crops.columns import CROWD_FACE
from setsolver.domain.problem import Floats

__all__ = ["ENDS", "figure_marks", "free_sides", "headroom", "people_whole", "top_kept"]

TOUCHES = 0.004
"""Distance from the frame's border, as a share of its side, within which a face is cut by the frame itself."""
MEETS = 0.02
"""Distance from the crop's border, as a share of its side, within which the subject runs out of it."""
SURE = 0.6
"""Confidence from which a subject counts in full."""
LEAST_FIGURE = 1.0
"""Places, of the 196, that people must fill in all for anybody to be cut: the faint rest is doubt."""
ENDS = 0.01
"""Distance from the frame's border, as a share of its side, within which a crop's side is the frame's own."""
CROSSED, BELOW = 0.3, 0.3
"""Length of the sides, as a share of the frame's, across which people stand where nothing is left of the mark, and what
a length at the bottom counts."""
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

    def cut(face: Floats, inside: Floats, _: Floats) -> Floats:
        ends = np.any((face[:, :2] <= TOUCHES) | (face[:, :2] + face[:, 2:] >= 1 - TOUCHES), axis=1)
        return np.asarray(np.maximum(4 * inside * (1 - inside), inside * np.asarray(ends)[:, None]))

    return 1 - _worst(faces, boxes, cut)


def figure_marks(sums: Floats, boxes: Floats) -> tuple[Floats, Floats, Floats]:
    """Return how people fare in crops, whether their faces are seen or not: whole, kept and clear, each 0 to 1, [F, P].

    whole : 1 where nobody stands across a side of the crop, 0 where people do along ``CROSSED`` of the frame; at the
    bottom a figure counts ``BELOW``, for people are shown to the waist or the knee, and a side that the frame itself
    ends is no fault of the crop. kept : share of the people inside. clear : 1 where nobody stands where the crop ends
    with the frame, the bottom left aside, 0 where people fill as much as one side. All are 1 without people.

    Parameters
    ----------
    sums : [F, 15, 15], running sums of the chance that each place shows a person. boxes : [F, P, 4].
    """
    marks = [np.ones(boxes.shape[:2]) for _ in range(3)]
    some = np.flatnonzero(sums[:, -1, -1] >= LEAST_FIGURE)
    if len(some):
        told, crops = sums[some], boxes[some]
        stands = _along(told, crops)
        ends = np.stack([(low <= ENDS) | (low >= 1 - ENDS) for low in _sides(crops)])
        crossed = (np.where(ends, 0.0, stands) * np.array([1.0, 1.0, 1.0, BELOW])[:, None, None]).sum(axis=0)
        marks[0][some] = 1 - crossed / CROSSED
        marks[1][some] = shares(told, crops) / told[:, -1:, -1]
        marks[2][some] = 1 - np.where(ends, stands, 0.0)[:3].sum(axis=0)
    whole, kept, clear = (np.clip(mark, 0.0, 1.0) for mark in marks)
    return whole, kept, clear


def _sides(boxes: Floats) -> list[Floats]:
    """Return where the left, right, upper and lower sides of crops lie, each [F, P]."""
    x, y, w, h = (boxes[..., k] for k in range(4))
    return [x, x + w, y, y + h]


def _along(sums: Floats, boxes: Floats) -> Floats:
    """Return along which part of the frame's side people stand at the left, right, upper and lower side; [4, F, P].

    On each side of the border half a cell is looked at, as far as the frame goes, and the lesser one counts: who stands
    beside the border is not cut.
    """
    half = 0.5 / (sums.shape[1] - 1)
    x0, x1, y0, y1 = _sides(boxes)
    found = []
    for at, start, end, upright in ((x0, y0, y1, True), (x1, y0, y1, True), (y0, x0, x1, False), (y1, x0, x1, False)):
        both = []
        for low in (at - half, at):
            first, last = np.clip(low, 0.0, 1.0), np.clip(low + half, 0.0, 1.0)
            strip = (first, start, last - first, end - start) if upright else (start, first, end - start, last - first)
            wide = np.maximum(last - first, 1e-9)
            seen = shares(sums, np.stack(strip, axis=-1)) / (wide * (sums.shape[1] - 1) ** 2)
            both.append(np.where(last - first > half / 2, seen, np.inf))
        found.append(np.minimum(*both))
    return np.stack(found)


def headroom(faces: Floats, boxes: Floats) -> Floats:
    """Return 1 where every face inside has room above it for its hair, 0 where one meets the crop's top; [F, P].

    Parameters
    ----------
    faces, boxes : as in ``people_whole``.
    """

    def lacking(face: Floats, inside: Floats, top: Floats) -> Floats:
        above = (face[:, 1:2] - top) / np.maximum(ROOM * face[:, 3:], 1e-9)
        return np.asarray(np.clip(1 - above, 0.0, 1.0) * (inside > 0.5))

    return 1 - _worst(faces, boxes, lacking)


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


def top_kept(subject: Floats, boxes: Floats) -> Floats:
    """Return the share of the subject's height that does not lie above the crop; [F, P].

    Of crops judged by eye those that lose a quarter of the height above are spoilt three times in four, those that lose
    it below one time in four (benchmarks/features/README.md): heads, spires and necks of bottles are at the top.

    Parameters
    ----------
    subject : [F, 4]. boxes : [F, P, 4].
    """
    lost = (boxes[..., 1] - subject[:, None, 1]) / np.maximum(subject[:, None, 3], 1e-9)
    return np.asarray(1 - np.clip(lost, 0.0, 1.0))


def _worst(faces: Floats, boxes: Floats, fault: Callable[[Floats, Floats, Floats], Floats]) -> Floats:
    """Return the worst of a fault over a frame's faces, each as it counts; [F, P], 0 without faces.

    fault : told faces [K, 4], their shares inside crops [K, P] and the crops' tops [K, P], returns [K, P], 0 to 1. Only
    faces that there are cost time: most frames have few or none.
    """
    frame, column = np.nonzero(~np.isnan(faces[..., 0]))
    worst = np.zeros(boxes.shape[:2])
    if len(frame) == 0:
        return worst
    face, crops = faces[frame, column], boxes[frame]
    found = fault(face, _inside(face[:, None], crops), crops[..., 1]) * _counts(faces)[frame, column][:, None]
    some, first = np.unique(frame, return_index=True)
    worst[some] = np.maximum.reduceat(found, first, axis=0)
    return worst


def _inside(box: Floats, crop: Floats) -> Floats:
    """Return the share of boxes [K, 1, 4] inside crops [K, P, 4]."""
    sides = []
    for at in (0, 1):
        end = np.minimum(box[..., at] + box[..., at + 2], crop[..., at] + crop[..., at + 2])
        sides.append(np.maximum(0.0, end - np.maximum(box[..., at], crop[..., at])))
    share = sides[0] * sides[1] / np.maximum(box[..., 2] * box[..., 3], 1e-9)
    return np.asarray(np.minimum(share, 1.0))


def _counts(faces: Floats) -> Floats:
    """Return how much each face counts, 0 to 1; [F, N]."""
    height = np.nan_to_num(faces[..., 3])
    largest = np.maximum(height.max(axis=1, keepdims=True), 1e-9)
    return np.asarray(np.clip(2 * height / largest, 0.0, 1.0) * np.clip(height / CROWD_FACE, 0.0, 1.0))
