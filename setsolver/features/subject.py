"""Subject: where attention goes, the box that a crop must keep, and how sure that is."""

from __future__ import annotations

from functools import cache
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ATTENTION_GRID, Face, Subject
from setsolver.features.attention import glance
from setsolver.features.ranks import median
from setsolver.features.saliency import SIDE, enclosed, surprising
from setsolver.features.scale import whole_alone
from setsolver.features.sight import Sight, feature
from setsolver.features.views import Views, views_of

__all__ = ["drawn_attention", "find_subject", "sureness_cues"]

_PRIOR_SPREAD: Final = 0.35
"""Standard deviation, in frame widths and heights, of the centre prior."""
_PRIOR: Final = 0.3
"""How far the centre prior weighs: at the corners attention loses nearly as much."""
_EVEN: Final = 0.8
_PIXELS: Final = 0.65
"""Weight of a place that stands out by no means, and of each of the two ways to stand out by pixels."""
_IN: Final = 0.34
"""Attention, against its peak, from which a place belongs to the subject."""
_ROOM: Final = (0.5, 0.4, 1.5)
"""Room about a face for ears, hair and chest: at either side, above, below; in widths and heights of the face."""
_FACE_WEIGHT: Final = 0.6
"""Share of all attention that faces draw where there are any."""
_SMALL_FACE: Final = 0.06
"""Height of the largest face, as a share of the frame's, below which faces draw less."""
_SURENESS: Final = (1.0, 0.4, -5.0, -2.0)
"""Logit of the confidence: its constant, and what it gains by the logarithm of how far the border is, attention at the
busiest border, and the odds of a wide view. benchmarks/features/subjects.py fits and judges them."""
_NOTHING: Final = 0.5
"""Distance from the border, in L*a*b*, at which half of the confidence is left: a bare wall has no subject."""


def find_subject(views: Views, places: NDArray[np.float32], faces: tuple[Face, ...], wide: float) -> Subject:
    """Return the subject of a frame.

    Attention is what the embedding network speaks of (``attention.look``), sharpened by what stands out by pixels
    (``saliency``) and drawn to the middle a little. The subject is its strongest connected part; a face with room
    about it belongs to it, or is the subject where the part lies elsewhere.

    Parameters
    ----------
    places : float32[7, 7], how strongly the network speaks of each place. faces : as found. wide : odds of a wide view.
    """
    drawn, distance = drawn_attention(views, places)
    box = _strongest(drawn)
    confidence = _confidence(drawn, distance, wide)
    grid = cv2.resize(drawn, ATTENTION_GRID[::-1], interpolation=cv2.INTER_AREA).astype(np.float64)
    grid = np.maximum(grid - median(grid), 0) + 1e-6
    grid /= grid.sum()
    if faces:
        share = _FACE_WEIGHT * min(1.0, faces[0].box.h / _SMALL_FACE)
        grid = (1 - share) * grid + share * _on_faces(faces)
        box = _with_faces(box, faces)
        confidence = max(confidence, max(face.score for face in faces) * 0.9)
    return Subject(box, float(confidence), grid.astype(np.float32))


def drawn_attention(views: Views, places: NDArray[np.float32]) -> tuple[NDArray[np.float32], float]:
    """Return attention, float32[64, 64], 0 to 1 at its peak, and the distance of ``saliency.enclosed``."""
    lab = _squeezed(views.lab)
    far, distance = enclosed(lab)
    spoken = cv2.resize(places, (SIDE, SIDE), interpolation=cv2.INTER_CUBIC)
    spoken = np.maximum(spoken - spoken.min(), 0) / np.float32(max(float(np.ptp(spoken)), 1e-6))
    mixed = spoken * (_EVEN + _PIXELS * (far + surprising(lab[..., 0]))) * _prior()
    smooth = cv2.GaussianBlur(mixed.astype(np.float32), (0, 0), 1.0)
    return (smooth - smooth.min()) / np.float32(max(float(np.ptp(smooth)), 1e-6)), distance


def _squeezed(lab: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the means of 64 x 64 equal cells: first along the long side, where OpenCV is faster by its whole step."""
    height, width = lab.shape[:2]
    along = (SIDE, height) if width >= height else (width, SIDE)
    strips = cv2.resize(lab, along, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.resize(strips, (SIDE, SIDE), interpolation=cv2.INTER_AREA), np.float32)


@cache
def _prior() -> NDArray[np.float32]:
    at = (np.arange(SIDE) + 0.5) / SIDE - 0.5
    bell = np.exp(-0.5 * (at / _PRIOR_SPREAD) ** 2)
    return (1 - _PRIOR + _PRIOR * np.outer(bell, bell)).astype(np.float32)


def _strongest(drawn: NDArray[np.float32]) -> Box:
    """Return the box of the connected part with most attention; the whole where nothing draws any."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats((drawn > _IN).astype(np.uint8), connectivity=8)
    if count < 2:
        return Box(0.0, 0.0, 1.0, 1.0)
    mass = np.bincount(labels.ravel(), drawn.ravel(), minlength=count)
    x, y, w, h = (float(v) / SIDE for v in stats[1 + int(np.argmax(mass[1:])), :4])
    return Box(x, y, w, h)


def _confidence(drawn: NDArray[np.float32], distance: float, wide: float) -> float:
    """Return how sure it is that there is one subject and that the box holds it, 0 to 1."""
    logit = _SURENESS[0] + np.dot(_SURENESS[1:], sureness_cues(drawn, distance, wide))
    return float(distance / (distance + _NOTHING) / (1.0 + np.exp(-logit)))


def sureness_cues(drawn: NDArray[np.float32], distance: float, wide: float) -> tuple[float, float, float]:
    """Return what the confidence is told from: log of the distance, attention at the busiest border, odds of wide."""
    border = max(float(side.mean()) for side in (drawn[0], drawn[-1], drawn[:, 0], drawn[:, -1]))
    return float(np.log1p(distance)), border, wide


def _on_faces(faces: tuple[Face, ...]) -> NDArray[np.float64]:
    rows, columns = ATTENTION_GRID
    canvas = np.zeros((rows * 8, columns * 8))
    for face in faces:
        x, y, right, bottom = face.box.x, face.box.y, face.box.right, face.box.bottom
        canvas[int(y * rows * 8) : int(bottom * rows * 8) + 1, int(x * columns * 8) : int(right * columns * 8) + 1] = 1
    grid: NDArray[np.float64] = canvas.reshape(rows, 8, columns, 8).mean(axis=(1, 3))
    grid /= grid.sum()
    return grid


def _with_faces(box: Box, faces: tuple[Face, ...]) -> Box:
    """Return the box of the main faces with room about them, joined to the salient box where that touches it."""
    side, above, below = _ROOM
    main = [face.box for face in faces if face.box.area >= faces[0].box.area / 8]
    left = min(face.x - side * face.w for face in main)
    right = max(face.right + side * face.w for face in main)
    top = min(face.y - above * face.h for face in main)
    bottom = max(face.bottom + below * face.h for face in main)
    if box.overlap(Box(left, top, right - left, bottom - top)) > 0:
        left, top = min(left, box.x), min(top, box.y)
        right, bottom = max(right, box.right), max(bottom, box.bottom)
    left, top = max(0.0, left), max(0.0, top)
    return Box(left, top, min(1.0, right) - left, min(1.0, bottom) - top)


@feature("subject")
def _subject(sight: Sight) -> Subject:
    places, wide = sight.once(glance).places, sight.once(whole_alone).wide
    return find_subject(sight.once(views_of), places, sight.found.faces, wide)
