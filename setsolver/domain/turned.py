"""A frame as it is known at once after its user turned it: what lies where turns with it, all else stays as measured.

What networks say of a picture that stands otherwise, they have to be asked; until then this is what is known.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.measures import Face, Measures, Tilt

__all__ = ["turned"]

Number = TypeVar("Number", bound=np.generic)
_MIRRORED = {"left": "right", "right": "left"}


def turned(frame: Frame, turn: int | None) -> Frame:
    """Return a frame turned further, so that ``turn`` is what its user says; its measures as far as they are known.

    Its tilt is known on its head, where a horizon lies as steeply as before, and not on its side; a face there looks
    neither left nor right.
    """
    quarters = ((turn or 0) - (frame.turn or 0)) // 90 % 4
    width, height = (frame.height, frame.width) if quarters % 2 else (frame.width, frame.height)
    return replace(frame, turn=turn, width=width, height=height, measures=_turned(frame.measures, quarters))


def _turned(m: Measures, quarters: int) -> Measures:
    """Return measures of a picture turned so many quarters clockwise."""
    if quarters == 0:
        return m
    return replace(
        m,
        tiles=m.tiles._replace(lightness=_grid(m.tiles.lightness, quarters), neutral=_grid(m.tiles.neutral, quarters)),
        detail=m.detail._replace(tiles=_grid(m.detail.tiles, quarters)),
        tilt=_tilt(m.tilt, quarters),
        subject=m.subject._replace(box=_box(m.subject.box, quarters), attention=_grid(m.subject.attention, quarters)),
        faces=tuple(_face(face, quarters) for face in m.faces),
        inner=_box(m.inner, quarters),
        upright=None,
        figures=None if m.figures is None else _grid(m.figures, quarters),
        crop_map=None if m.crop_map is None else np.ascontiguousarray(np.rot90(m.crop_map, -quarters, axes=(1, 2))),
    )


def _box(box: Box, quarters: int) -> Box:
    x, y, w, h = box
    for _ in range(quarters):
        x, y, w, h = 1 - y - h, x, h, w
    return Box(x, y, w, h)


def _grid(grid: NDArray[Number], quarters: int) -> NDArray[Number]:
    """Return a grid whose first axes are rows and columns."""
    return np.ascontiguousarray(np.rot90(grid, -quarters))


def _tilt(tilt: Tilt, quarters: int) -> Tilt:
    if quarters != 2:
        return Tilt(None, 0.0, None)
    return tilt._replace(horizon=None if tilt.horizon is None else 1 - tilt.horizon)


def _face(face: Face, quarters: int) -> Face:
    facing = "front" if quarters % 2 else _MIRRORED.get(face.facing, face.facing)
    return face._replace(box=_box(face.box, quarters), facing=facing)
