"""What a layout kind is: a name, a way to place frames of given sizes, and what it asks of the order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from setsolver.domain.brief import LayoutWish
from setsolver.domain.plan import Placed, Wall

__all__ = ["Block", "Kind", "Size", "Task", "on_a_wall", "span"]

Size = tuple[float, float]
"""Width and height in centimetres."""


class Task(NamedTuple):
    """What a kind is given: outer sizes of the frames in reading order, the brief's wishes, and the wall if any."""

    sizes: tuple[Size, ...]
    wish: LayoutWish
    wall: Wall | None = None

    @property
    def gap(self) -> float:
        """Centimetres between neighbouring frames."""
        return self.wish.gap_cm


class Block(NamedTuple):
    """Frames in their places to one another.

    frames : outer edges in the order of the task's sizes, from the top left of the whole. rows : frames in each row or
    on each page. says : the layout in a sentence. pages : facing pages that it stands on. follows : centimetres up for
    each to the right along which the whole must stay, for stairs; None = it hangs about a level centre line. cost : of
    those that a kind offers; where several are as good, the wall decides.
    """

    frames: tuple[Placed, ...]
    rows: tuple[int, ...]
    says: str
    pages: tuple[Placed, ...] = ()
    follows: float | None = None
    cost: float = 0.0


class Kind(NamedTuple):
    """A layout kind. A file of this package that exports one as ``KIND`` is found by itself.

    name : as a brief writes it. says : what it is, in a few words. place : from a task to blocks, the best first; the
    first that fits the wall is hung. by_time : it keeps the order of time whatever the brief says. renumbers : its
    prints are numbered as they hang, from left to right, since it may place them in any order.
    """

    name: str
    says: str
    place: Callable[[Task], Iterable[Block]]
    by_time: bool = False
    renumbers: bool = False


def span(placed: Sequence[Placed]) -> Size:
    """Return width and height over all of rectangles that start at the origin."""
    right = max((p.x_cm + p.width_cm for p in placed), default=0.0)
    bottom = max((p.y_cm + p.height_cm for p in placed), default=0.0)
    return right, bottom


def on_a_wall(task: Task, frames: Sequence[Placed], rows: tuple[int, ...], words: str, note: str = "") -> Block:
    """Return a block for a wall with its sentence: how many, how (``words``), the gap, and the size over all."""
    width, height = span(frames)
    prints = f"{len(frames)} print" + ("" if len(frames) == 1 else "s")
    says = f"{prints} {words}, {task.gap:g} cm apart, {width:.1f} by {height:.1f} cm over all"
    return Block(tuple(frames), rows, f"{says}; {note}" if note else says)
