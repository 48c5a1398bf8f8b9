"""Faces: boxes, score, facing and sharpness, from YuNet at two sizes."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import WHOLE, Box
from setsolver.domain.measures import Face
from setsolver.features.detail import sharpness_in
from setsolver.features.edges import BlurMap, blur_of
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, views_of
from setsolver.features.yunet import MIN_FACE_SCORE, Detector

__all__ = ["LIKELY_PEOPLE", "facing", "find_faces"]

LIKELY_PEOPLE: Final = 0.1
"""Odds of people, told from the embedding, below which no face is looked for: benchmarks/features/fit_heads.py prints
what that loses. It saves most frames the detector's time, and animals and cars its mistakes."""
_SAME_FACE: Final = 0.4
"""Overlap over union above which two boxes are one face."""
_ROOM: Final = 96
"""Pixels about what is suspected, at the larger size, that are looked at too: what lies around a face tells it."""
_CELL: Final = 32
"""Coarsest step of the network, in pixels."""
_TURNED: Final = 0.18
"""Offset of the nose from the middle of the eyes, over their distance, from which a face looks aside."""


def find_faces(views: Views, detector: Detector, edges: BlurMap) -> tuple[Face, ...]:
    """Return faces from largest to smallest.

    Two sizes, 320 and 640 pixels: the detector misses faces taller than its frame at the larger size, and small ones
    at the smaller. Where it suspects nothing at the smaller, it finds nothing at the larger, whose quadruple time is
    then saved; else only the part that holds what it suspects is looked at.
    """
    found = _detect(views.small, WHOLE, detector)
    if len(found):
        found = np.concatenate([found, _detect(views.middle, _suspicious(found, views.middle), detector)])
    rows = _distinct(found[found[:, 14] >= MIN_FACE_SCORE])
    faces = [_face(row, edges) for row in rows]
    return tuple(sorted(faces, key=lambda face: -face.box.area))


def _suspicious(found: NDArray[np.float64], rgb: NDArray[np.uint8]) -> Box:
    """Return the part of a picture that holds all detections with room about them, its corner on the network's grid."""
    size = np.array(rgb.shape[1::-1])
    first = (found[:, :2].min(axis=0) * size - _ROOM) // _CELL * _CELL
    last = (found[:, :2] + found[:, 2:4]).max(axis=0) * size + _ROOM
    left, top = np.maximum(first, 0) / size
    right, bottom = np.minimum(last / size, 1)
    return Box(float(left), float(top), float(right - left), float(bottom - top))


def _detect(rgb: NDArray[np.uint8], part: Box, detector: Detector) -> NDArray[np.float64]:
    """Return what is found in a part, in fractions of the frame: x, y, w, h, five landmarks (x, y), score; [n, 15]."""
    height, width = rgb.shape[:2]
    left, top = round(part.x * width), round(part.y * height)
    inside = rgb[top : round(part.bottom * height), left : round(part.right * width)]
    corner = np.array([left, top, 0, 0, *[left, top] * 5, 0], np.float64)
    scale = np.array([width, height] * 7 + [1], np.float64)
    return (detector(np.ascontiguousarray(inside)) + corner) / scale


def _distinct(rows: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return the best-scored detection of each face."""
    kept: list[NDArray[np.float64]] = []
    for row in rows[np.argsort(-rows[:, 14], kind="stable")]:
        box = Box(*row[:4])
        if all(_over_union(box, Box(*other[:4])) < _SAME_FACE for other in kept):
            kept.append(row)
    return kept


def _over_union(first: Box, second: Box) -> float:
    shared = first.overlap(second)
    return shared / (first.area + second.area - shared)


def _face(row: NDArray[np.float64], edges: BlurMap) -> Face:
    left, top, wide, high = row[:4].tolist()
    x, y = max(0.0, left), max(0.0, top)
    box = Box(x, y, min(1.0, left + wide) - x, min(1.0, top + high) - y)
    height, width = edges.shape
    points = row[4:14].reshape(5, 2) * (width, height)
    return Face(box, float(row[14]), facing(points), sharpness_in(edges, box))


def facing(points: NDArray[np.floating]) -> str:
    """Return "left", "right" or "front", as the viewer sees it, of five landmarks.

    Parameters
    ----------
    points : [5, 2] in pixels: the subject's right eye, left eye, nose tip, right and left mouth corner (YuNet's order).

    Notes
    -----
    A head turned about its own axis moves the nose off the middle of eyes and mouth along the eye line. Full profile
    folds the eyes together, so the offset is taken over the larger of eye distance and half the eye-mouth height.
    """
    eyes, nose, mouth = points[:2], points[2], points[3:]
    down = mouth.mean(axis=0) - eyes.mean(axis=0)
    height = float(np.hypot(*down))
    if height <= 0:
        return "front"
    along = np.array([down[1], -down[0]]) / height  # points to the viewer's right for an upright face
    middle = 0.6 * eyes.mean(axis=0) + 0.4 * mouth.mean(axis=0)
    breadth = max(abs(float((eyes[1] - eyes[0]) @ along)), 0.5 * height)
    offset = float((nose - middle) @ along) / breadth
    if abs(offset) < _TURNED:
        return "front"
    return "right" if offset > 0 else "left"


@feature("faces")
def _faces(sight: Sight) -> tuple[Face, ...]:
    people = float(sight.models.people.odds(sight.found.embedding[None])[0, 1])
    if people < LIKELY_PEOPLE:
        return ()
    return find_faces(sight.once(views_of), sight.models.faces, sight.once(blur_of))
