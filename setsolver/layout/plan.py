"""From a block of frames to the plan: on its wall or its pages, and the words where it does not fit."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFound
from setsolver.domain.plan import CENTRE_CM, Placed, Plan, Wall
from setsolver.errors import BadBrief
from setsolver.layout.kind import Block, Kind, Size, Task, span
from setsolver.layout.kinds import kind_named
from setsolver.layout.settle import Settled, settle

__all__ = ["plan_for", "plan_of"]

_TRIED = 1000
"""Most blocks of one kind that are tried on a wall before it counts as too full."""
_HALVINGS, _HALVINGS_OF_A_SEARCH = 12, 6
"""How often the largest prints that fit are narrowed down; less often where every size is a search of its own."""


def plan_for(brief: Brief, sizes: Sequence[Size]) -> Plan:
    """Return the plan of prints of given sizes, in reading order.

    Raises
    ------
    BadBrief
        Where a print or the set is larger than the wall, or fits nowhere beside what must stay clear.
    """
    kind, wall = kind_named(brief.layout.kind), brief.wall.in_cm() if brief.wall else None
    border = wall.border_cm if wall else 0.0
    task = Task(_framed(sizes, border), brief.layout, wall)
    blocks = list(islice(kind.place(task), 1)) if wall is None else []
    if wall is None or not sizes:
        return _plan(kind, task, blocks[0] if blocks else next(iter(kind.place(task))), border, None)
    found = _hung(kind, task, wall)
    if found is None:
        raise BadBrief(_too_full(brief, kind, sizes, wall))
    return _plan(kind, task, found[0], border, found[1])


def _framed(sizes: Sequence[Size], border: float) -> tuple[Size, ...]:
    return tuple((width + 2 * border, height + 2 * border) for width, height in sizes)


def _hung(kind: Kind, task: Task, wall: Wall) -> tuple[Block, Settled] | None:
    """Return the best block that fits and its place; of blocks that are as good, the one that moves least."""
    best: tuple[Block, Settled] | None = None
    for block in islice(kind.place(task), _TRIED):
        if best is not None and block.cost > best[0].cost:
            break
        place = settle(block, wall)
        if place is not None and (best is None or _moved(block, place, wall) < _moved(*best, wall)):
            best = block, place
    return best


def _moved(block: Block, place: Settled, wall: Wall) -> tuple[float, float]:
    """Return how far a block had to move, and how far aside."""
    aside = abs(place.left_cm + span(block.frames)[0] / 2 - wall.width_cm / 2)
    return round(place.effort, 6), round(aside, 6)


def _plan(kind: Kind, task: Task, block: Block, border: float, place: Settled | None) -> Plan:
    width, height = span(block.pages or block.frames)
    centre = None if block.pages else task.wall.centre_cm if task.wall else CENTRE_CM
    top = place.top_cm if place else None if centre is None else centre + height / 2
    return Plan(
        kind=kind.name,
        width_cm=width,
        height_cm=height,
        gap_cm=task.gap,
        rows=block.rows,
        places=tuple(_inside(frame, border) for frame in block.frames),
        pages=block.pages,
        says=block.says,
        border_cm=border,
        wall=task.wall,
        left_cm=place.left_cm if place else None,
        top_cm=top,
        centre_cm=centre,
    )


def _inside(frame: Placed, border: float) -> Placed:
    return Placed(
        x_cm=frame.x_cm + border,
        y_cm=frame.y_cm + border,
        width_cm=frame.width_cm - 2 * border,
        height_cm=frame.height_cm - 2 * border,
    )


def plan_of(brief: Brief, found: SetFound) -> Plan:
    """Return the plan that a set carries; for a set of an older version, the one that its positions follow from."""
    if found.layout is not None:
        return found.layout
    places = tuple(frame.position for frame in found.frames)
    made = plan_for(brief, [(place.width_cm, place.height_cm) for place in places])
    return made.model_copy(update={"places": places})


def _too_full(brief: Brief, kind: Kind, sizes: Sequence[Size], wall: Wall) -> str:
    """Return why nothing fits, and the largest prints that would."""
    border = wall.border_cm
    widest, tallest = (max(size[axis] for size in sizes) + 2 * border for axis in (0, 1))
    room = f"the wall is {wall.width_cm:.1f} by {wall.height_cm:.1f} cm"
    framed = " with its mount and frame" if border else ""
    way = _way_out(brief, kind, sizes, wall)
    if widest > wall.width_cm or tallest > wall.height_cm:
        return f"a print{framed} takes {widest:.1f} by {tallest:.1f} cm, but {room}; {way}"
    block = next(iter(kind.place(Task(_framed(sizes, border), brief.layout, wall))))
    width, height = span(block.frames)
    if width > wall.width_cm or height > wall.height_cm:
        return f"the set takes {width:.1f} by {height:.1f} cm over all, but {room}; {way}"
    kept = ", ".join(keep.what or "a rectangle" for keep in wall.clear) or "its edges"
    if block.follows is not None:
        return f"the set does not fit along the stair, clear of {kept}; {way}"
    return (
        f"the set of {width:.1f} by {height:.1f} cm finds no place on the wall that keeps {kept} clear by "
        f"{wall.margin_cm:.1f} cm; {way}"
    )


def _way_out(brief: Brief, kind: Kind, sizes: Sequence[Size], wall: Wall) -> str:
    """Return the largest prints that fit, found by halving, or that none do."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS_OF_A_SEARCH if kind.renumbers else _HALVINGS):
        middle = (low + high) / 2
        smaller = [(width * middle, height * middle) for width, height in sizes]
        fits = _hung(kind, Task(_framed(smaller, wall.border_cm), brief.layout, wall), wall) is not None
        low, high = (middle, high) if fits else (low, middle)
    others = f"lower layout.gap_cm ({brief.layout.gap_cm:g}), take fewer prints, or another layout.kind"
    longest = max(max(size) for size in sizes) * low
    if longest < 1.0:
        margin = ", or lower wall.margin" if wall.clear else ""
        return f"not even small prints fit with this gap; {others}{margin}"
    return f"it fits with print_cm = {int(longest * 10) / 10:g} or less; or {others}"
