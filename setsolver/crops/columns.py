"""Frames as columns: the measures that rules read of every frame, stacked once so that no rule loops over frames."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.measures import ATTENTION_GRID, CROP_MAP_STEPS, FIGURE_GRID, Face
from setsolver.domain.problem import Floats, Ints

__all__ = ["CROWD_FACE", "EVERYONE", "FACES", "FrameColumns", "stack_frames"]

FACES = 5
"""Faces that a crop must keep: the largest, and the outermost on each side; a crop that holds those holds all."""
EVERYONE = 12
"""Faces of which a crop should cut none: the largest."""
CROWD_FACE = 0.05
"""Height of a face, as a share of the frame's, below which it is one of a crowd more and more."""
MAIN_FACE = 0.25
"""A face counts where its area is at least this share of the largest one's: passers-by may be cut."""
_CERTAIN = 255
"""What a figure that is certain is stored as."""
FACING = {"left": -1.0, "front": 0.0, "right": 1.0}


class FrameColumns(NamedTuple):
    """Columns of F frames.

    aspect [F] width over height; long [F, 2] pixels wide and high; odds, inner_odds [F, 3]; subject [F, 4] box;
    sure [F] confidence of the subject; attention [F, 16, 16] sums to 1; tilt [F] degrees, NaN = none; tilt_sure [F];
    horizon [F] NaN = none; faces [F, FACES, 4] boxes clipped to the frame, NaN = none; facing [F, FACES] -1 left,
    0 front, 1 right; everyone [F, EVERYONE, 4] all faces, the largest first, as ``faces``; figures [F, 14, 14]
    chance, 0 to 1, that each place shows a person, 0 where that was not told; crop_map [F, 2, 14, 14] logits, what a
    place is worth inside a crop and under its border, 0 where that was not told; mapped [F], 1 where it was.
    """

    aspect: Floats
    pixels: Floats
    odds: Floats
    inner_odds: Floats
    subject: Floats
    sure: Floats
    attention: Floats
    tilt: Floats
    tilt_sure: Floats
    horizon: Floats
    faces: Floats
    facing: Floats
    everyone: Floats
    figures: Floats
    crop_map: Floats
    mapped: Floats

    def take(self, rows: Ints) -> FrameColumns:
        """Return the columns of some frames, in this order."""
        return FrameColumns(*(column[rows] for column in self))


def stack_frames(frames: Sequence[Frame]) -> FrameColumns:
    """Return the columns of frames, in their order."""
    measures = [frame.measures for frame in frames]
    faces, facing = _stack_faces([m.faces for m in measures])
    pixels = _floats([(frame.width, frame.height) for frame in frames], 2)
    attention = np.empty((len(frames), *ATTENTION_GRID))
    for row, m in enumerate(measures):
        attention[row] = m.subject.attention
    return FrameColumns(
        aspect=pixels[:, 0] / pixels[:, 1],
        pixels=pixels,
        odds=_floats([frame.odds for frame in frames], 3),
        inner_odds=_floats([m.inner_odds for m in measures], 3),
        subject=_floats([m.subject.box for m in measures], 4),
        sure=_floats([(m.subject.confidence,) for m in measures], 1)[:, 0],
        attention=attention,
        tilt=_or_nan([m.tilt.degrees for m in measures]),
        tilt_sure=_or_nan([m.tilt.confidence for m in measures]),
        horizon=_or_nan([m.tilt.horizon for m in measures]),
        faces=faces,
        facing=facing,
        everyone=_everyone([m.faces for m in measures]),
        figures=_figures([m.figures for m in measures]),
        crop_map=_crop_maps([m.crop_map for m in measures]),
        mapped=_floats([(m.crop_map is not None,) for m in measures], 1)[:, 0],
    )


def _floats(rows: Sequence[Sequence[float]], width: int) -> Floats:
    return np.asarray(rows, dtype=np.float64).reshape(len(rows), width)


def _or_nan(values: Sequence[float | None]) -> Floats:
    return np.array([np.nan if value is None else value for value in values], dtype=np.float64)


def _stack_faces(faces: Sequence[tuple[Face, ...]]) -> tuple[Floats, Floats]:
    boxes = np.full((len(faces), FACES, 4), np.nan)
    facing = np.zeros((len(faces), FACES))
    for row, found in enumerate(faces):
        for column, face in enumerate(_main(found)):
            boxes[row, column] = _clipped(face.box)
            facing[row, column] = FACING[face.facing]
    return boxes, facing


def _everyone(faces: Sequence[tuple[Face, ...]]) -> Floats:
    boxes = np.full((len(faces), EVERYONE, 4), np.nan)
    for row, found in enumerate(faces):
        for column, face in enumerate(sorted(found, key=lambda face: -face.box.area)[:EVERYONE]):
            boxes[row, column] = _clipped(face.box)
    return boxes


def _figures(found: Sequence[np.ndarray | None]) -> Floats:
    chances = np.zeros((len(found), *FIGURE_GRID))
    for row, figures in enumerate(found):
        if figures is not None:
            chances[row] = figures / _CERTAIN
    return chances


def _crop_maps(found: Sequence[np.ndarray | None]) -> Floats:
    worth = np.zeros((len(found), 2, *FIGURE_GRID))
    for row, one in enumerate(found):
        if one is not None:
            worth[row] = one
    steps: Floats = np.array(CROP_MAP_STEPS)[:, None, None]
    return np.asarray(worth / steps)


def _main(faces: tuple[Face, ...]) -> list[Face]:
    """Return the faces that a crop must keep, the largest first: of a crowd only the outermost on each side."""
    if not faces:
        return []
    ordered = sorted(faces, key=lambda face: -face.box.area)
    main = [face for face in ordered if face.box.area >= MAIN_FACE * ordered[0].box.area]
    if len(main) <= FACES:
        return main
    ends = [min(main, key=_left), min(main, key=_top), max(main, key=_right), max(main, key=_bottom)]
    return [main[0], *(face for face in main[1:] if any(face is end for end in ends))]


def _left(face: Face) -> float:
    return face.box.x


def _top(face: Face) -> float:
    return face.box.y


def _right(face: Face) -> float:
    return face.box.right


def _bottom(face: Face) -> float:
    return face.box.bottom


def _clipped(box: Box) -> tuple[float, float, float, float]:
    x, y = max(0.0, box.x), max(0.0, box.y)
    return x, y, min(1.0, box.right) - x, min(1.0, box.bottom) - y
