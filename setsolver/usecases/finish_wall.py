"""What goes to the wall: the hanging plan, and a picture of the wall with the finished prints on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from setsolver.domain.finish import FinishedPrint, Hook
from setsolver.domain.plan import Plan
from setsolver.layout import hung
from setsolver.output.hanging import hanging_pdf, hanging_svg
from setsolver.render.readback import read_back
from setsolver.render.save import OutProfile, Paper, encoded_jpeg, load_profile
from setsolver.render.wall import Hanging, Rect, WallView, draw_wall

if TYPE_CHECKING:
    from setsolver.domain.outcome import SetFound

__all__ = ["PLAN_FILES", "WALL_FILE", "hooks_of", "wall_files"]

WALL_FILE = "wall.jpg"
PLAN_FILES = ("hanging-plan.pdf", "hanging-plan.svg")
_SMALL: Final = 1200
_ROUND: Final = 30.0
"""Centimetres of wall shown around a set whose wall nobody measured."""
_AROUND: Final = 0.15
"""What is shown around a book, as a share of its height."""
_BELOW: Final = 10.0
"""Centimetres of floor that are shown."""


def hooks_of(plan: Plan) -> dict[int, tuple[Hook, ...]]:
    """Return where hooks go, by number of the print; nothing for pages."""
    if plan.top_cm is None:
        return {}
    return {
        frame.number: tuple(Hook(from_left_cm=h.left_cm, from_floor_cm=h.floor_cm) for h in frame.hooks)
        for frame in hung(plan)
    }


def wall_files(
    found: SetFound,
    plan: Plan,
    title: str,
    paper: str,
    out: Path,
    prints: Mapping[int, FinishedPrint],
    profile: OutProfile,
) -> Iterator[tuple[str, bytes]]:
    """Yield names and contents: the plan, where it hangs on a wall, and the picture, where all prints are there.

    Raises
    ------
    BadInput
        Where the paper is not known.
    """
    if plan.top_cm is not None and plan.places:
        yield PLAN_FILES[0], hanging_pdf(found, plan, title, paper=paper)
        yield PLAN_FILES[1], hanging_svg(plan, title)
    if len(prints) == len(plan.places):
        yield WALL_FILE, _picture(plan, out, prints, profile)


def _picture(plan: Plan, out: Path, prints: Mapping[int, FinishedPrint], profile: OutProfile) -> bytes:
    view, left, top = _view(plan)
    hangings = []
    for number, place in enumerate(plan.places, start=1):
        made = prints[number]
        margin = round((made.bleed_mm + made.border_mm) / 25.4 * made.ppi)
        seen = read_back(out / made.file, margin, _SMALL, profile)
        rect = Rect(left + place.x_cm, top + place.y_cm, place.width_cm, place.height_cm)
        hangings.append(Hanging(seen.rgb, rect))
    codes = draw_wall(view, hangings).astype(np.uint16) * 257
    return encoded_jpeg(codes, Paper("jpeg", load_profile(None), 96.0))


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
        wall.width_cm, wall.height_cm + _BELOW, wall.height_cm, things, mount=wall.mount_cm, frame=wall.frame_cm
    )
    return view, plan.left_cm, wall.height_cm - plan.top_cm
