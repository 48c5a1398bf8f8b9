"""The face detector YuNet: its network, and boxes and landmarks from its outputs.

W. Wu, H. Peng, S. Yu, "YuNet: a tiny millisecond-level face detector", Machine Intelligence Research 20, 2023.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["LEAST_SUSPICION", "MIN_FACE_SCORE", "Detector", "face_detector"]

MIN_FACE_SCORE: Final = 0.8
"""Below it the detector fires on animals: at 0.6 on 76 of 368 animal photographs (models/NOTICE.md)."""
LEAST_SUSPICION: Final = 0.05
"""Score from which a detection is told. Of 68 photographs with a face at 640 pixels all reach it at 320, of 182 that
were looked at 20 % do not."""
Detector = Callable[[NDArray[np.uint8]], NDArray[np.float32]]
"""From uint8[h, w, 3], RGB, to float32[n, 15], best first: x, y, w, h, five landmarks (x, y) in pixels, score.

Scores run from ``LEAST_SUSPICION`` to 1; a face has ``MIN_FACE_SCORE``."""
_STRIDES: Final = (8, 16, 32)
_PARTS: Final = ("cls", "obj", "bbox", "kps")
_SAME: Final = 0.3
"""Overlap over union above which two detections are one, as in ``cv2.FaceDetectorYN``."""
_MOST: Final = 5000
_FIXED: Final = bytes.fromhex("0a03088005" * 2)
"""Height and width of the network's input in its file: two ``Dimension`` messages with dim_value 640."""
_FREE: Final = bytes.fromhex("0a03120168" + "0a03120177")
"""The same with dim_param "h" and "w": the network is convolutional, its file names one size only."""


def face_detector(path: Path, session: Callable[[bytes], Any]) -> Detector:
    """Return the detector of a weights file; ``session`` loads a network."""
    network = session(path.read_bytes().replace(_FIXED, _FREE))
    return partial(_run, network, [f"{part}_{stride}" for stride in _STRIDES for part in _PARTS])


def _run(network: Any, names: list[str], rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    height, width = (-(-side // _STRIDES[-1]) * _STRIDES[-1] for side in rgb.shape[:2])
    canvas = np.zeros((1, 3, height, width), np.float32)
    canvas[0, :, : rgb.shape[0], : rgb.shape[1]] = rgb[..., ::-1].transpose(2, 0, 1)
    out = [part[0] for part in network.run(names, {"input": canvas})]
    rows = [_rows(stride, width, *out[4 * k : 4 * k + 4]) for k, stride in enumerate(_STRIDES)]
    return _distinct(np.concatenate(rows))


def _rows(stride: int, width: int, *parts: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the detections that one output level is sure of; boxes and landmarks are relative to its cells."""
    sure, there, box, points = parts
    score = np.sqrt(np.clip(sure[:, 0], 0, 1) * np.clip(there[:, 0], 0, 1))
    at = np.flatnonzero(score >= LEAST_SUSPICION)
    cell = np.stack([at % (width // stride), at // (width // stride)], axis=1).astype(np.float32)
    size = np.exp(box[at, 2:])
    corner = cell + box[at, :2] - size / 2
    marks = points[at] + np.tile(cell, 5)
    rows: NDArray[np.float32] = np.hstack([np.hstack([corner, size, marks]) * np.float32(stride), score[at, None]])
    return rows


def _distinct(rows: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the best of detections that overlap; their boxes are compared in whole pixels."""
    boxes = rows[:, :4].astype(int).tolist()
    kept = cv2.dnn.NMSBoxes(boxes, rows[:, 14].tolist(), LEAST_SUSPICION, _SAME, top_k=_MOST)
    distinct: NDArray[np.float32] = rows[np.asarray(kept, int).ravel()]
    return distinct
