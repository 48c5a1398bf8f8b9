"""A picture of a wall with the prints on it: plain paint, mounts and frames, a soft shadow, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Hanging", "Rect", "WallView", "draw_wall"]

_WIDEST: Final = 2400
_FINEST: Final = 24.0
"""Pixels of the picture's longer side, and to a centimetre, at most."""
_PAINT: Final = (226, 224, 219)
_FLOOR: Final = (139, 128, 116)
_THING: Final = (178, 172, 164)
_EDGE: Final = (120, 116, 110)
_MOUNT: Final = (250, 249, 246)
_FRAME: Final = (58, 52, 47)
_FLOOR_CM: Final = 12.0
_SHADOW_CM: Final = (0.8, 1.2)
"""How far a shadow falls to the right and down, and how soft it is."""
_SHADOW: Final = 0.38

Picture = NDArray[np.uint8]


class Rect(NamedTuple):
    """A rectangle on the wall, in centimetres: x to the right, y down from the picture's own upper left corner."""

    x: float
    y: float
    width: float
    height: float

    def grown(self, by: float) -> Rect:
        """Return it with so much more on every side."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)


@dataclass(frozen=True, slots=True, eq=False)
class Hanging:
    """A print in its place: its picture, uint8[h, w, 3], sRGB, and where it lies."""

    picture: Picture
    place: Rect


@dataclass(frozen=True, slots=True)
class WallView:
    """What is drawn. floor : its line, y in centimetres, None where it is out of sight. things : kept clear of prints.

    pages : of a book that lies open, instead of a wall. mount, frame : width around each print, in centimetres.
    """

    width: float
    height: float
    floor: float | None = None
    things: tuple[Rect, ...] = ()
    pages: tuple[Rect, ...] = ()
    mount: float = 0.0
    frame: float = 0.0


def draw_wall(view: WallView, hangings: Sequence[Hanging]) -> Picture:
    """Return the picture; uint8[h, w, 3], sRGB."""
    scale = min(_FINEST, _WIDEST / max(view.width, view.height))
    height, width = ceil(view.height * scale), ceil(view.width * scale)
    picture = np.empty((height, width, 3), np.float32)
    picture[:] = _PAINT
    picture *= np.linspace(1.02, 0.95, height, dtype=np.float32)[:, None, None]  # light from above
    picture += (
        np.random.default_rng(0).uniform(-0.5, 0.5, (height, width, 1)).astype(np.float32)
    )  # so that no bands show
    if view.floor is not None and view.floor < view.height:
        line = round(view.floor * scale)
        picture[line:] = _FLOOR
        picture[max(0, line - max(1, round(scale))) : line] = _MOUNT
    for thing in view.things:
        _fill(picture, thing, scale, _EDGE)
        _fill(picture, thing.grown(-1.5 / scale), scale, _THING)
    for page in view.pages:
        _shade(picture, page, scale)
    for page in view.pages:
        _fill(picture, page, scale, _EDGE)
        _fill(picture, page.grown(-1.0 / scale), scale, _MOUNT)
    for hanging in hangings:
        _hang(picture, hanging, view, scale)
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)


def _hang(picture: NDArray[np.float32], hanging: Hanging, view: WallView, scale: float) -> None:
    outer = hanging.place.grown(view.mount + view.frame)
    if not view.pages:
        _shade(picture, outer, scale)
    if view.frame:
        _fill(picture, outer, scale, _FRAME)
    if view.mount:
        _fill(picture, hanging.place.grown(view.mount), scale, _MOUNT)
    top, bottom, left, right = _pixels(hanging.place, scale, picture.shape[:2])
    if bottom > top and right > left:
        picture[top:bottom, left:right] = cv2.resize(
            hanging.picture, (right - left, bottom - top), interpolation=cv2.INTER_AREA
        )


def _shade(picture: NDArray[np.float32], outer: Rect, scale: float) -> None:
    away, soft = _SHADOW_CM[0] * scale, max(0.5, _SHADOW_CM[1] * scale)
    mask = np.zeros(picture.shape[:2], np.float32)
    top, bottom, left, right = _pixels(outer, scale, picture.shape[:2], shift=away)
    mask[top:bottom, left:right] = _SHADOW
    picture *= 1 - cv2.GaussianBlur(mask, (0, 0), soft)[..., None]


def _fill(picture: NDArray[np.float32], rect: Rect, scale: float, colour: tuple[int, int, int]) -> None:
    top, bottom, left, right = _pixels(rect, scale, picture.shape[:2])
    picture[top:bottom, left:right] = colour


def _pixels(rect: Rect, scale: float, shape: tuple[int, ...], shift: float = 0.0) -> tuple[int, int, int, int]:
    """Return top, bottom, left and right of a rectangle in pixels, within the picture."""
    top, left = rect.y * scale + shift, rect.x * scale + shift
    edges = top, top + rect.height * scale, left, left + rect.width * scale
    most = shape[0], shape[0], shape[1], shape[1]
    first, second, third, fourth = (min(max(round(edge), 0), limit) for edge, limit in zip(edges, most, strict=True))
    return first, second, third, fourth
