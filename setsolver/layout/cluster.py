"""Mixed sizes about a centre line: the most compact and even of the ways to build a block from rows and columns."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.domain.plan import Placed
from setsolver.errors import BadBrief
from setsolver.layout.kind import Block, Kind, Size, Task, on_a_wall
from setsolver.layout.slicing import Slicings, slicings

__all__ = ["KIND", "MOST"]

MOST = 24
"""Most prints of a cluster: beyond, the search would look at too small a share of the ways to say anything of them."""


def _place(task: Task) -> Iterator[Block]:
    """Yield arrangements, the best first.

    Every one is a slicing (guillotine) arrangement: two smaller ones side by side or one above the other, exactly a gap
    apart, tops, middles or lower edges in line. Compactness, balance and shape are weighed in ``slicing.cost``.
    """
    if len(task.sizes) > MOST:
        raise BadBrief(
            f'layout.kind = "cluster" arranges at most {MOST} prints, and the set has {len(task.sizes)}; '
            'take fewer, or layout.kind = "grid"',
            ("layout", "kind"),
        )
    if not task.sizes:
        yield on_a_wall(task, [], (), "in a cluster")
        return
    found = slicings(tuple(sorted(_rounded(size) for size in task.sizes)), task.gap)
    room = (task.wall.width_cm, task.wall.height_cm) if task.wall else None
    for rank in found.ranked(room):
        placed, note = found.frames(rank), _note(found, rank)
        for way in (placed, _mirrored(placed)):
            frames = _dealt(way, task.sizes)
            yield on_a_wall(task, frames, (), "in a cluster", note)._replace(cost=found.cost(rank))


def _mirrored(placed: list[tuple[Size, tuple[float, float]]]) -> list[tuple[Size, tuple[float, float]]]:
    """Return the mirror image: as good by itself, and it may have to move less beside what must stay clear."""
    width = max(x + size[0] for size, (x, _) in placed)
    return [(size, (width - x - size[0], y)) for size, (x, y) in placed]


def _rounded(size: Size) -> Size:
    """Return a size in whole micrometres, so that prints of one size count as one size."""
    return round(size[0], 4), round(size[1], 4)


def _dealt(placed: list[tuple[Size, tuple[float, float]]], sizes: tuple[Size, ...]) -> list[Placed]:
    """Deal places out to the sizes asked for; places of one size go in order from left to right."""
    free: dict[Size, list[tuple[float, float]]] = {}
    for size, at in sorted(placed, key=lambda p: (round(p[1][0], 6), p[1][1])):
        free.setdefault(size, []).append(at)
    dealt = []
    for size in sizes:
        x, y = free[_rounded(size)].pop(0)
        dealt.append(Placed(x_cm=x, y_cm=y, width_cm=size[0], height_cm=size[1]))
    return dealt


def _note(found: Slicings, rank: int) -> str:
    """Return how good the arrangement is known to be."""
    place = (
        "the most compact and even" if rank == 0 else f"number {rank + 1} by compactness and balance, the first to fit,"
    )
    scope = "all" if found.complete else "those looked at, not all there are:"
    ways = f"{place} of {scope} {found.count:,} ways in rows and columns"
    return f"{ways}; prints and gaps fill {found.filled(rank):.0%} of it"


KIND = Kind("cluster", "mixed sizes in a compact, even block about the centre line", _place, renumbers=True)
