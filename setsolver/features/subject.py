"""Subject: where attention goes, the box that a crop must keep, and how sure that is."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ATTENTION_GRID, Face, Subject
from setsolver.features.views import Views

__all__ = ["find_subject"]

_MAP: Final = 64
_PRIOR_SPREAD: Final = 0.35
"""Standard deviation, in frame widths and heights, of the centre prior."""
_KEEP: Final = 0.6
"""Share of the salient attention that the box holds."""
_SMALL_FACE: Final = 0.06
"""Height of the largest face, as a share of the frame's, below which faces are not all of the subject."""
_SURE: Final = 0.5
_CLEAR: Final = 10.0
"""Distance from the mean colour, in L*a*b*, that something must reach to stand out fully."""
_FACE_WEIGHT: Final = 0.6
"""Share of all attention that faces draw where there are any."""


def find_subject(views: Views, detail: NDArray[np.float32], faces: tuple[Face, ...]) -> Subject:
    """Return the subject of a frame.

    Attention mixes spectral residual (Hou, Zhang, CVPR 2007), distance from the frame's mean colour (Achanta et al.,
    CVPR 2009), sharp places in soft surroundings, a centre prior, and faces.

    Parameters
    ----------
    detail : float32[8, 8], sharpness by tile. faces : as found.
    """
    lab = cv2.resize(views.lab, (_MAP, _MAP), interpolation=cv2.INTER_AREA)
    distance = _colour_distance(lab)
    salient = _normal(_residual(lab[..., 0])) + _normal(distance) + _sharp_places(detail)
    salient = cv2.GaussianBlur(salient, (0, 0), 2.0) * _prior()
    grid = cv2.resize(salient, ATTENTION_GRID[::-1], interpolation=cv2.INTER_AREA).astype(np.float64)
    grid = np.maximum(grid - np.median(grid), 0) + 1e-6
    grid /= grid.sum()
    confidence = _concentration(grid) * min(1.0, float(distance.max()) / _CLEAR)
    box = _tight_box(grid, _KEEP)
    if faces:
        drawn = _FACE_WEIGHT * min(1.0, faces[0].box.h / _SMALL_FACE)
        grid = (1 - drawn) * grid + drawn * _on_faces(faces)
        box = _with_faces(box, faces, confidence)
        confidence = max(confidence, max(face.score for face in faces) * 0.9)
    return Subject(box, float(confidence), grid.astype(np.float32))


def _normal(values: NDArray[np.floating]) -> NDArray[np.float32]:
    top = float(np.percentile(values, 99))
    return np.clip(values / top, 0, 1).astype(np.float32) if top > 0 else np.zeros(values.shape, np.float32)


def _residual(lightness: NDArray[np.float32]) -> NDArray[np.float64]:
    spectrum = np.fft.fft2(lightness.astype(np.float64))
    logarithm = np.log(np.abs(spectrum) + 1e-6)
    surprise = logarithm - cv2.blur(logarithm, (3, 3), borderType=cv2.BORDER_REFLECT)
    back = np.abs(np.fft.ifft2(np.exp(surprise + 1j * np.angle(spectrum)))) ** 2
    smooth: NDArray[np.float64] = cv2.GaussianBlur(back, (0, 0), 2.5)
    return smooth


def _colour_distance(lab: NDArray[np.float32]) -> NDArray[np.float64]:
    smooth = cv2.GaussianBlur(lab, (0, 0), 1.0)
    distance: NDArray[np.float64] = np.linalg.norm(smooth - lab.reshape(-1, 3).mean(axis=0), axis=2)
    return distance


def _sharp_places(detail: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return sharpness above the frame's median where only part of it is sharp, else nothing."""
    above = np.maximum(detail - np.median(detail), 0)
    wide: NDArray[np.float32] = cv2.resize(above, (_MAP, _MAP), interpolation=cv2.INTER_LINEAR)
    return 2 * wide


def _prior() -> NDArray[np.float32]:
    at = (np.arange(_MAP) + 0.5) / _MAP - 0.5
    bell = np.exp(-0.5 * (at / _PRIOR_SPREAD) ** 2)
    return np.outer(bell, bell).astype(np.float32)


def _concentration(grid: NDArray[np.float64]) -> float:
    """Return 0 where attention is spread evenly, towards 1 where few cells hold all of it."""
    entropy = -float((grid * np.log(grid)).sum()) / np.log(grid.size)
    return float(min(1.0, max(0.0, (1 - entropy) * 2.0)))


def _tight_box(grid: NDArray[np.float64], share: float) -> Box:
    """Return the smallest box of whole cells that holds ``share`` of the attention; ties go to the first."""
    rows, columns = grid.shape
    total = np.zeros((rows + 1, columns + 1))
    total[1:, 1:] = grid.cumsum(axis=0).cumsum(axis=1)
    top, bottom = np.triu_indices(rows + 1, 1)
    left, right = np.triu_indices(columns + 1, 1)
    bands = total[bottom] - total[top]
    held = bands[:, right] - bands[:, left]
    area = np.outer(bottom - top, right - left).astype(np.float64)
    area[held < share * total[-1, -1] - 1e-12] = np.inf
    best_row, best_column = np.unravel_index(int(np.argmin(area - held * 1e-3)), area.shape)
    x, y = left[best_column] / columns, top[best_row] / rows
    return Box(float(x), float(y), float(right[best_column] / columns - x), float(bottom[best_row] / rows - y))


def _on_faces(faces: tuple[Face, ...]) -> NDArray[np.float64]:
    rows, columns = ATTENTION_GRID
    canvas = np.zeros((rows * 8, columns * 8))
    for face in faces:
        x, y, right, bottom = face.box.x, face.box.y, face.box.right, face.box.bottom
        canvas[int(y * rows * 8) : int(bottom * rows * 8) + 1, int(x * columns * 8) : int(right * columns * 8) + 1] = 1
    grid: NDArray[np.float64] = canvas.reshape(rows, 8, columns, 8).mean(axis=(1, 3))
    grid /= grid.sum()
    return grid


def _with_faces(box: Box, faces: tuple[Face, ...], confidence: float) -> Box:
    """Return the box of the faces with room for hair and chest, joined to the salient box where that counts too.

    It counts where it is sure of itself, and where the faces are small: a passer-by is rarely all there is to see.
    """
    largest = faces[0].box
    counted = [face.box for face in faces if face.box.area >= largest.area / 8]
    left = min(face.x - 0.5 * face.w for face in counted)
    right = max(face.right + 0.5 * face.w for face in counted)
    top = min(face.y - 0.4 * face.h for face in counted)
    bottom = max(face.bottom + 1.5 * face.h for face in counted)
    if confidence > _SURE or largest.h < _SMALL_FACE:
        left, top = min(left, box.x), min(top, box.y)
        right, bottom = max(right, box.right), max(bottom, box.bottom)
    left, top = max(0.0, left), max(0.0, top)
    return Box(left, top, min(1.0, right) - left, min(1.0, bottom) - top)
