"""What goes to the wall: the hanging plan, and a picture of the wall with the finished prints on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.paths import to_file
from setsolver.catalog.reader import read
from setsolver.domain.finish import Hook
from setsolver.domain.plan import Plan, Stair, Wall
from setsolver.domain.wall import PhotographWish
from setsolver.errors import BadInput, FrameRefused
from setsolver.layout import hung
from setsolver.output.hanging import hanging_pdf, hanging_svg
from setsolver.render.perspective import height_of, onto_photograph
from setsolver.render.readback import read_back
from setsolver.render.save import OutProfile, Paper, encoded_jpeg, load_profile
from setsolver.render.wall import Hanging, Rect, WallView, draw_wall, hung_on
from setsolver.usecases.finish_folder import Folder

__all__ = ["PLAN_FILES", "WALL_FILE", "WallSeen", "hooks_of", "wall_files", "wall_seen"]

WALL_FILE = "wall.jpg"
PLAN_FILES = ("hanging-plan.pdf", "hanging-plan.svg")
_SMALL: Final = 1200
_PHOTOGRAPH: Final = 2400
"""Long side of a photograph of the wall with the prints on it."""
_ROUND: Final = 30.0
"""Centimetres of wall shown around a set whose wall nobody measured."""
_AROUND: Final = 0.15
"""What is shown around a book, as a share of its height."""
_BELOW: Final = 10.0
"""Centimetres of floor that are shown."""


class WallSeen(NamedTuple):
    """A photograph of a wall, uint8[h, w, 3], sRGB, and the homography to its pixels from centimetres, y down."""

    photograph: NDArray[np.uint8]
    change: NDArray[np.float64]


def hooks_of(plan: Plan) -> dict[int, tuple[Hook, ...]]:
    """Return where hooks go, by number of the print; nothing for pages."""
    if plan.top_cm is None:
        return {}
    return {
        frame.number: tuple(Hook(from_left_cm=h.left_cm, from_floor_cm=h.floor_cm) for h in frame.hooks)
        for frame in hung(plan)
    }


def wall_files(
    plan: Plan,
    captions: Sequence[str],
    title: str,
    paper: str,
    folder: Folder,
    profile: OutProfile,
    seen: WallSeen | None = None,
) -> Iterator[tuple[str, bytes]]:
    """Yield names and contents: the plan, where it hangs on a wall, and the picture, where all prints are there.

    Parameters
    ----------
    captions : what each print is called, by its number.

    Raises
    ------
    BadInput
        Where the paper is not known.
    """
    if plan.top_cm is not None and plan.places:
        yield PLAN_FILES[0], hanging_pdf(plan, captions, title, paper=paper)
        yield PLAN_FILES[1], hanging_svg(plan, title, captions)
    if len(folder.prints) == len(plan.places):
        yield WALL_FILE, _picture(plan, folder, profile, seen)


def _picture(plan: Plan, folder: Folder, profile: OutProfile, seen: WallSeen | None) -> bytes:
    view, left, top = _view(plan)
    hangings = []
    for number, place in enumerate(plan.places, start=1):
        made = folder.prints[number]
        margin = round((made.bleed_mm + made.border_mm) / 25.4 * made.ppi)
        back = read_back(folder.out / made.file, margin, _SMALL, profile)
        rect = Rect(left + place.x_cm, top + place.y_cm, place.width_cm, place.height_cm)
        hangings.append(Hanging(back.rgb, rect))
    picture = draw_wall(view, hangings) if seen is None else hung_on(seen.photograph, seen.change, view, hangings)
    return encoded_jpeg(picture, Paper("jpeg", load_profile(None), 96.0))


def wall_seen(photograph: PhotographWish, plan: Plan) -> WallSeen:
    """Return the photograph of a wall, and where the wall is on it. Lengths of ``photograph`` are centimetres.

    Raises
    ------
    BadInput
        Where it cannot be read, or what is marked on it does not tell enough.
    """
    file = to_file(Path(), photograph.file)
    if plan.wall is None:
        raise BadInput(f"{file} is a photograph of a wall, and the set is for none; give the wall its width and height")
    try:
        reading = read(file, long_side=_PHOTOGRAPH)
    except FrameRefused as error:
        raise BadInput(f"the photograph of the wall, {file}, cannot be used: {error}") from error
    size = reading.width, reading.height
    if any(not (0 <= x <= size[0] and 0 <= y <= size[1]) for x, y in photograph.corners):
        raise BadInput(f"a corner lies outside the photograph {file} of {size[0]} x {size[1]} pixels; mark it again")
    scale = reading.rgb.shape[1] / size[0]
    height = photograph.height or height_of(photograph.corners, photograph.width, size)
    if height is None:
        raise BadInput(
            f"how high the marked rectangle is, the photograph {file} does not tell; give wall.photograph.height"
        )
    corners = [(x * scale, y * scale) for x, y in photograph.corners]
    change = onto_photograph(corners, photograph.left, photograph.bottom, photograph.width, height)
    upwards = np.array([[1, 0, 0], [0, -1, plan.wall.height_cm], [0, 0, 1]])  # the view counts y from the top
    return WallSeen(reading.rgb, change @ upwards)


def _stair(stair: Stair, wall: Wall) -> tuple[tuple[float, float], ...]:
    """Return the outline of a stair from its foot over all noses that the wall shows, y down from the wall's top."""
    side = 1 if stair.up == "right" else -1
    x, y, points = stair.foot_cm, 0.0, [(stair.foot_cm, wall.height_cm)]
    while 0 <= x <= wall.width_cm and y < wall.height_cm:
        y += stair.rise_cm
        points.append((x, wall.height_cm - y))
        x += side * stair.run_cm
        points.append((x, wall.height_cm - y))
    return tuple(points)


def _view(plan: Plan) -> tuple[WallView, float, float]:
    """Return what is to be seen, and where the upper left corner of the set lies on it, in centimetres."""
    if plan.pages:
        around = _AROUND * plan.height_cm
        pages = tuple(Rect(around + p.x_cm, around + p.y_cm, p.width_cm, p.height_cm) for p in plan.pages)
        return WallView(plan.width_cm + 2 * around, plan.height_cm + 2 * around, pages=pages), around, around
    wall = plan.wall
    if wall is None or plan.left_cm is None or plan.top_cm is None:
        border = plan.border_cm
        view = WallView(plan.width_cm + 2 * _ROUND, plan.height_cm + 2 * _ROUND, frame=border)
        return view, _ROUND, _ROUND
    things = tuple(
        Rect(k.left_cm, wall.height_cm - k.bottom_cm - k.height_cm, k.width_cm, k.height_cm) for k in wall.clear
    )
    view = WallView(
        wall.width_cm,
        wall.height_cm + _BELOW,
        wall.height_cm,
        things,
        stair=_stair(wall.stair, wall) if wall.stair else (),
        mount=wall.mount_cm,
        frame=wall.frame_cm,
    )
    return view, plan.left_cm, wall.height_cm - plan.top_cm
