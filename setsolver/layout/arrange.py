"""From the frames of a set to their order and their places."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import inf, isnan, nan
from statistics import median
from typing import Any, NamedTuple

import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.measures import SCALES
from setsolver.domain.plan import Placed, Plan
from setsolver.domain.problem import Floats
from setsolver.layout.kind import Size
from setsolver.layout.kinds import kind_named
from setsolver.layout.plan import plan_for
from setsolver.layout.sequence import STORY, WALL, Shown, in_sequence

__all__ = ["ArrangeItem", "Arrangement", "arrange", "check_wall"]


IN_A_LINE = ("row", "line", "column")
"""Kinds in which the middle of the order hangs in the middle."""
WIDE = 0.5
"""Odds of a wide view from which a print is called one."""
ROUNDED = 1e-6
"""Difference of cosines that is no more than their rounding."""


class ArrangeItem(NamedTuple):
    """A frame of a set before it has a place.

    role : name of one of the brief's slots. time : of capture, None where unknown. tone : L* of the mid tone, 0 to 100.
    aspect : of the crop, width over height, > 0. long_cm : long edge of its print, None = the brief's ``print_cm``.
    wide, close : odds of these scales, 0 to 1. appeal : 0 to 1, NaN where that was not measured. content : a unit
    vector whose dot products say how alike frames are, None where that was not measured. opening, ending : how much it
    looks like one, in logits (0 for all where that was not measured). people : chance that it shows any, 0 to 1, NaN
    where that was not measured.
    """

    path: str
    role: str
    time: datetime | None
    tone: float
    aspect: float
    long_cm: float | None = None
    wide: float = 0.0
    close: float = 0.0
    appeal: float = nan
    content: Floats | None = None
    opening: float = 0.0
    ending: float = 0.0
    people: float = nan


class Arrangement(NamedTuple):
    """Order and places of a set.

    order : indexes of the items as they hang or stand, in reading order.
    """

    order: tuple[int, ...]
    plan: Plan

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Places of the prints, in that order."""
        return self.plan.places

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

    In sequence, as picture editors would show it (``layout.sequence``), where the brief says so. Else a story keeps the
    order of time, and elsewhere the brief chooses: by role from wide to close (roles of the user's own
    after them, as written), by time, or by tone from light to dark; ties go by time, then path. Frames without a time
    come last. The long edge of a print is its own, or else the brief's. A kind that places prints freely numbers
    them as they hang, from left to right.

    Raises
    ------
    BadBrief
        Where the set does not fit the brief's wall.
    """
    kind = kind_named(brief.layout.kind)
    order = sorted(range(len(items)), key=lambda i: _key(brief, items[i], by_time=kind.by_time))
    sequenced = brief.layout.order == "sequence"
    if sequenced:
        order = _sequenced(items, story=kind.by_time)
    plan = plan_for(brief, [_size(items[i].aspect, items[i].long_cm or brief.print_cm) for i in order])
    if sequenced:
        said = _sequence_said([items[i] for i in order], kind.name, story=kind.by_time)
        plan = plan.model_copy(update={"says": plan.says + said})
    elif kind.by_time or brief.layout.order == "time":
        plan = _untimed(plan, sum(item.time is None for item in items), len(items))
    if not kind.renumbers:
        return Arrangement(tuple(order), plan)
    turns = sorted(range(len(order)), key=lambda k: (round(plan.frames[k].x_cm, 6), plan.frames[k].y_cm))
    places = tuple(plan.places[k] for k in turns)
    return Arrangement(tuple(order[k] for k in turns), plan.model_copy(update={"places": places}))


def _sequenced(items: Sequence[ArrangeItem], *, story: bool) -> list[int]:
    """Return the order in which editors would show the items."""
    timed = all(item.time is not None for item in items)
    first = sorted(range(len(items)), key=lambda i: (items[i].time.timestamp() if timed else 0.0, items[i].path))  # type: ignore[union-attr] # all have one
    some = [items[i] for i in first]
    alike = _alike(some)
    numbers = [
        (item.wide, item.close, item.tone / 100, item.appeal, item.opening, item.ending, item.people) for item in some
    ]
    wide, close, tone, appeal, opening, ending, people = np.array(numbers).reshape(-1, 7).T
    appeal, people = (np.zeros(len(some)) if np.isnan(one).any() else one for one in (appeal, people))
    shown = Shown(wide, close, tone, appeal, opening, ending, people, alike, timed)
    return [first[k] for k in in_sequence(shown, STORY if story else WALL)]


def _sequence_said(items: Sequence[ArrangeItem], kind: str, *, story: bool) -> str:
    """Return what is said of items in sequence: only what holds for these prints."""
    if len(items) < 2:
        return ""
    timed = all(item.time is not None for item in items)
    seen = all(item.content is not None and not isnan(item.appeal) for item in items)
    words = ", in the order in which editors would show them"
    if seen and story:
        words = _told(items) or words
    elif seen and len(items) % 2 and kind in IN_A_LINE:
        words = _middle(items) or words
    return words if timed else f"{words}; not every frame has a time, so time does not count"


def _alike(items: Sequence[ArrangeItem]) -> Floats:
    """Return cosines of all n items, [n, n]; none is like another where the content of one was not measured."""
    contents = [item.content for item in items if item.content is not None]
    if len(contents) < len(items) or not contents:
        return np.eye(len(items))
    vectors = np.stack(contents)
    return vectors @ vectors.T


def _middle(items: Sequence[ArrangeItem]) -> str:
    """Return what hangs in the middle of an odd number, where it is the least like the others or the strongest."""
    middle = len(items) // 2
    likeness, appeal = _alike(items).mean(axis=1), np.array([item.appeal for item in items])
    if likeness[middle] < np.delete(likeness, middle).min() - ROUNDED:
        return ", the odd one of them in the middle"
    return ", the strongest of them in the middle" if appeal[middle] > np.delete(appeal, middle).max() else ""


def _told(items: Sequence[ArrangeItem]) -> str:
    """Return how a story opens and ends, where it opens on a wide view or ends on one of its stronger prints."""
    opens = items[0].wide > WIDE
    ends = items[-1].appeal >= median(item.appeal for item in items)
    parts = ("opening wide",) * opens + ("ending on a strong one",) * ends
    return f", {' and '.join(parts)}" if parts else ""


def _untimed(plan: Plan, untimed: int, items: int) -> Plan:
    """Return the plan with a word on prints whose place in the order of time is not known."""
    if untimed == 0:
        return plan
    if untimed == items:
        return plan.model_copy(update={"says": f"{plan.says}, by name: no frame has a time"})
    last = "1 frame has no time and comes" if untimed == 1 else f"{untimed} frames have no time and come"
    return plan.model_copy(update={"says": f"{plan.says}; {last} last"})


def check_wall(brief: Brief) -> None:
    """Raise where a set of this brief cannot hang on its wall, before any set is sought.

    Raises
    ------
    BadBrief
        Where there is no such layout kind, or the prints do not fit the wall.
    """
    kind_named(brief.layout.kind)
    if brief.wall is not None or brief.layout.kind == "steps":
        plan_for(brief, _least_prints(brief))


def _least_prints(brief: Brief) -> list[Size]:
    """Return the sizes of prints that take the least room of all that the brief's slots allow."""
    sure = [slot.size_cm for slot in brief.slots for _ in range(slot.least)]
    more = [slot.size_cm for slot in brief.slots for _ in range(slot.most - slot.least)]
    more.sort(key=lambda size: size[0] * size[1])
    return sure + more[: brief.size - len(sure)]


def _key(brief: Brief, item: ArrangeItem, *, by_time: bool) -> tuple[Any, ...]:
    at = (item.time is None, item.time.timestamp() if item.time else inf, item.path)
    if by_time or brief.layout.order == "time":
        return at
    if brief.layout.order == "tone":
        return (-item.tone, *at)
    return (_rank(brief, item.role), *at)


def _rank(brief: Brief, role: str) -> int:
    """Return the place of a role between wide and close, the user's own after them; of a slot, as the brief has it."""
    if brief.slot:
        return brief.role_names.index(role) if role in brief.role_names else len(brief.slot)
    ranks = [*SCALES, *(name for name in brief.role_names if name not in SCALES)]
    return ranks.index(role) if role in ranks else len(ranks)


def _size(aspect: float, long_edge: float) -> Size:
    return (long_edge, long_edge / aspect) if aspect >= 1 else (long_edge * aspect, long_edge)
