"""From the frames of a set to their order and their places."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import inf
from typing import Any, NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.measures import SCALES
from setsolver.domain.outcome import Placed
from setsolver.layout.plan import Plan, describe
from setsolver.layout.spread import facing_pages
from setsolver.layout.wall import columns_for, hang

__all__ = ["ArrangeItem", "Arrangement", "arrange"]


class ArrangeItem(NamedTuple):
    """A frame of a set before it has a place.

    role : one of the brief's. time : of capture, None where unknown. tone : L* of the mid tone, 0 to 100.
    aspect : of the crop, width over height, > 0.
    """

    path: str
    role: str
    time: datetime | None
    tone: float
    aspect: float


class Arrangement(NamedTuple):
    """Order and places of a set.

    order : indexes of the items as they hang or stand, in reading order. placed : their places in that order.
    """

    order: tuple[int, ...]
    placed: tuple[Placed, ...]
    plan: Plan

    @property
    def width_cm(self) -> float:
        """Width over all."""
        return self.plan.width_cm

    @property
    def height_cm(self) -> float:
        """Height over all."""
        return self.plan.height_cm


def arrange(brief: Brief, items: Sequence[ArrangeItem]) -> Arrangement:
    """Order a set and place it as its brief asks.

    A story keeps the order of time. Elsewhere the brief chooses: by role from wide to close (roles of the user's own
    after them, as written), by time, or by tone from light to dark; ties go by time, then path. Frames without a time
    come last. The long edge of every print is the brief's.
    """
    order = tuple(sorted(range(len(items)), key=lambda i: _key(brief, items[i])))
    sizes = [_size(items[i].aspect, brief.print_cm) for i in order]
    if brief.layout.kind == "pair":
        placed, _, _ = facing_pages(sizes, brief.layout.gap_cm)
    else:
        columns = columns_for(brief.layout.kind, len(sizes), brief.layout.columns)
        placed = hang(sizes, columns, brief.layout.gap_cm) if sizes else []
    return Arrangement(order, tuple(placed), describe(brief, placed))


def _key(brief: Brief, item: ArrangeItem) -> tuple[Any, ...]:
    by_time = (item.time is None, item.time.timestamp() if item.time else inf, item.path)
    if brief.layout.kind == "story" or brief.layout.order == "time":
        return by_time
    if brief.layout.order == "tone":
        return (-item.tone, *by_time)
    return (_rank(brief, item.role), *by_time)


def _rank(brief: Brief, role: str) -> int:
    """Return the place of a role between wide and close, the user's own after them as written in the brief."""
    ranks = [*SCALES, *(name for name in brief.role_names if name not in SCALES)]
    return ranks.index(role) if role in ranks else len(ranks)


def _size(aspect: float, long_edge: float) -> tuple[float, float]:
    return (long_edge, long_edge / aspect) if aspect >= 1 else (long_edge * aspect, long_edge)
