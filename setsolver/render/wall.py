"""A picture of a wall with the prints on it: plain paint, mounts and frames, a soft shadow, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Hanging", "Rect", "WallView", "draw_wall", "hung_on"]

_WIDEST: Final = 2400
_FINEST: Final = 24.0
"""Pixels of the picture's longer side, and to a centimetre, at most."""
_PAINT: Final = (226, 224, 219)
_FLOOR: Final = (139, 128, 116)
_THING: Final = (178, 172, 164)
_EDGE: Final = (120, 116, 110)
_MOUNT: Final = (250, 249, 246)
_FRAME: Final = (58, 52, 47)
_BOARD: Final = (196, 188, 177)
_JAMB: Final = (244, 242, 238)
_PANE: Final = (206, 215, 222)
_FURNITURE_CM: Final = 120.0
"""Height from which what stands on the floor is taken for a door."""
_STEP: Final = (158, 148, 137)
_ROOM_CM: Final = 6.0
"""Around a frame that its shadow may fall on."""
_WIDEST_CANVAS: Final = 5000
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

    stair : its outline from the foot over all noses, in centimetres as a ``Rect`` is; what lies below is steps.
    pages : of a book that lies open, instead of a wall. mount, frame : width around each print, in centimetres.
    """

    width: float
    height: float
    floor: float | None = None
    things: tuple[Rect, ...] = ()
    pages: tuple[Rect, ...] = ()
    stair: tuple[tuple[float, float], ...] = ()
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
        _stand(picture, thing, view, scale)
    if view.stair:
        _climb(picture, view.stair, scale)
    for page in view.pages:
        _shade(picture, page, scale)
    for page in view.pages:
        _fill(picture, page, scale, _EDGE)
        _fill(picture, page.grown(-1.0 / scale), scale, _MOUNT)
    for hanging in hangings:
        _hang(picture, hanging, view, scale)
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)


def hung_on(photograph: Picture, change: NDArray[np.float64], view: WallView, hangings: Sequence[Hanging]) -> Picture:
    """Return a photograph of a wall with the prints on it, in its perspective; uint8[h, w, 3], sRGB.

    Parameters
    ----------
    change : float64[3, 3], homography from the view's centimetres (as in ``Rect``) to the photograph's pixels.
    view : its mount and frame are drawn; all else is on the photograph.
    """
    outer = [hanging.place.grown(view.mount + view.frame + _ROOM_CM) for hanging in hangings]
    x, y = min(rect.x for rect in outer), min(rect.y for rect in outer)
    width = max(rect.x + rect.width for rect in outer) - x
    height = max(rect.y + rect.height for rect in outer) - y
    scale = min(_FINEST, _WIDEST_CANVAS / max(width, height))
    shape = ceil(height * scale), ceil(width * scale)
    light, mask = np.ones((*shape, 3), np.float32), np.zeros(shape, np.float32)
    picture = np.zeros((*shape, 3), np.float32)
    for hanging in hangings:
        place = hanging.place._replace(x=hanging.place.x - x, y=hanging.place.y - y)
        _shade(light, place.grown(view.mount + view.frame), scale)
        _hang(picture, Hanging(hanging.picture, place), view, scale, shaded=False)
        top, bottom, left, right = _pixels(place.grown(view.mount + view.frame), scale, shape)
        mask[top:bottom, left:right] = 1
    own = np.array([[1 / scale, 0, x], [0, 1 / scale, y], [0, 0, 1]])
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])  # pixel centres lie at whole numbers
    whole = np.linalg.inv(half) @ change @ own @ half
    size = photograph.shape[1], photograph.shape[0]
    seen, covered, lit = (_warped(part, whole, size, edge) for part, edge in ((picture, 0), (mask, 0), (light, 1)))
    result = photograph * lit * (1 - covered[..., None]) + seen
    hung: Picture = np.clip(np.rint(result), 0, 255).astype(np.uint8)
    return hung


def _warped(
    part: NDArray[np.float32], change: NDArray[np.float64], size: tuple[int, int], edge: float
) -> NDArray[np.float32]:
    """Return a part of the wall as the photograph sees it; made small first where it is much finer than that."""
    height, width = part.shape[:2]
    corners = cv2.perspectiveTransform(np.array([[[0, 0], [width, 0], [width, height], [0, height]]], float), change)[0]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
    by = max(1, int(min(height / max(sides[1], sides[3]), width / max(sides[0], sides[2]))))
    if by > 1:
        small = cv2.resize(part, (ceil(width / by), ceil(height / by)), interpolation=cv2.INTER_AREA)
        x, y = width / small.shape[1], height / small.shape[0]
        change = change @ np.array([[x, 0, (x - 1) / 2], [0, y, (y - 1) / 2], [0, 0, 1]])
        part = np.asarray(small, np.float32)
    border = (edge,) * 4
    return np.asarray(
        cv2.warpPerspective(part, change, size, borderMode=cv2.BORDER_CONSTANT, borderValue=border), np.float32
    )


def _stand(picture: NDArray[np.float32], thing: Rect, view: WallView, scale: float) -> None:
    """Draw what is kept clear: furniture where it stands on the floor and is not high, else an opening."""
    standing = view.floor is not None and thing.y + thing.height >= view.floor - 1
    _shade(picture, thing, scale)
    if standing and thing.height <= _FURNITURE_CM:
        _fill(picture, thing, scale, _EDGE)
        _fill(picture, thing.grown(-1.5 / scale), scale, _THING)
        top, bottom, left, right = _pixels(thing, scale, picture.shape[:2])
        picture[top:bottom, left:right] *= np.linspace(1.05, 0.86, bottom - top, dtype=np.float32)[:, None, None]
        board = thing._replace(x=thing.x - 1.5, width=thing.width + 3, height=min(3.5, thing.height / 3))
        _fill(picture, board, scale, _BOARD)
        return
    jamb = min(6.0, thing.width / 8, thing.height / 8)
    _fill(picture, thing, scale, _EDGE)
    _fill(picture, thing.grown(-1.0 / scale), scale, _JAMB)
    inner = thing.grown(-jamb)
    if standing:
        inner = inner._replace(height=inner.height + jamb)
    _fill(picture, inner, scale, _THING if standing else _PANE)


def _climb(picture: NDArray[np.float32], stair: tuple[tuple[float, float], ...], scale: float) -> None:
    """Draw steps, and the line over their noses."""
    points = np.rint(np.array(stair) * scale).astype(np.int32)
    bottom = picture.shape[0]
    cv2.fillPoly(picture, [np.array([*points, (points[-1][0], bottom), (points[0][0], bottom)], np.int32)], _STEP)
    width = max(1, round(0.8 * scale))
    cv2.polylines(picture, [points], isClosed=False, color=_EDGE, thickness=width, lineType=cv2.LINE_AA)
    noses = points[1::2]
    if len(noses) > 1:
        cv2.line(picture, noses[0].tolist(), noses[-1].tolist(), _EDGE, max(1, width // 2), cv2.LINE_AA)


def _hang(picture: NDArray[np.float32], hanging: Hanging, view: WallView, scale: float, *, shaded: bool = True) -> None:
    outer = hanging.place.grown(view.mount + view.frame)
    if shaded and not view.pages:
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
