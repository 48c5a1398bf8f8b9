"""Where hooks go in the wall, and the order in which to hang: arithmetic on a plan."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.plan import Placed, Plan
from setsolver.domain.wall import DROP_CM

__all__ = ["Hook", "Hung", "hanging_order", "hung"]


class Hook(NamedTuple):
    """A point of the wall: centimetres from the left (see ``Hung``) and above the floor."""

    left_cm: float
    floor_cm: float


class Hung(NamedTuple):
    """A frame on the wall. number : of its print, from 1. Edges from the left and above the floor, in centimetres.

    "From the left" counts from the wall's left corner, or from the left edge of the set where nobody measured the wall.
    drop_cm : from the frame's top edge down to its hooks. width_cm, height_cm : with mount and frame.
    """

    number: int
    left_cm: float
    top_cm: float
    width_cm: float
    height_cm: float
    drop_cm: float
    hooks: tuple[Hook, ...]

    @property
    def bottom_cm(self) -> float:
        """Lower edge above the floor."""
        return self.top_cm - self.height_cm


def hung(plan: Plan) -> tuple[Hung, ...]:
    """Return every frame of a plan with its hooks, in the order of the set; nothing for facing pages.

    A hook lies at ``top edge - drop``, so at ``centre + height / 2 - drop`` (worked example of beecham.ca: centre 57
    inches, frame 20 inches high, wire 2 inches below its top edge: 65 inches). One hook lies under the middle of the
    frame; two lie a quarter of its width to either side.
    """
    return () if plan.top_cm is None else tuple(_hung(plan, plan.top_cm, n, f) for n, f in enumerate(plan.frames, 1))


def _hung(plan: Plan, top: float, number: int, frame: Placed) -> Hung:
    left, edge = (plan.left_cm or 0.0) + frame.x_cm, top - frame.y_cm
    drop = plan.wall.drop_cm if plan.wall else DROP_CM
    shares = (0.5,) if plan.wall is None or plan.wall.hooks == 1 else (0.25, 0.75)
    hooks = tuple(Hook(left + share * frame.width_cm, edge - drop) for share in shares)
    return Hung(number, left, edge, frame.width_cm, frame.height_cm, drop, hooks)


def hanging_order(plan: Plan) -> tuple[int, ...]:
    """Return the numbers of the prints from the middle of the set outwards; up a stair from its lowest print.

    What hangs in the middle is seen first when it is off, and the others are measured from it (common practice, no
    source). On a tie the left one goes first, then the upper one.
    """
    frames = hung(plan)
    if plan.kind == "steps":
        return tuple(f.number for f in sorted(frames, key=lambda f: f.top_cm - f.height_cm / 2))
    middle = (plan.left_cm or 0.0) + plan.width_cm / 2, (plan.top_cm or 0.0) - plan.height_cm / 2
    return tuple(f.number for f in sorted(frames, key=lambda f: (_away(f, middle), round(f.left_cm, 6), -f.top_cm)))


def _away(frame: Hung, middle: tuple[float, float]) -> float:
    across = frame.left_cm + frame.width_cm / 2 - middle[0]
    up = frame.top_cm - frame.height_cm / 2 - middle[1]
    return round(across * across + up * up, 6)
