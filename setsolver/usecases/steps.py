"""Small changes of a brief: one key moved a little, and how far that is.

How far a step is, is counted in smallest steps of its kind, so that steps of all kinds can be told apart: a tenth of a
print's size or of its resolution, a frame more or less of a role or a scene, what the eye just tells of two tones, or
of two aspects. A wish or a bar is the user's own word on one frame, and counts for two.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from math import ceil
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from setsolver.domain.geometry import parse_aspect
from setsolver.rules.words import count

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.slot_wish import SlotWish
    from setsolver.rules import Assembly
    from setsolver.usecases.changing import Changing

__all__ = [
    "LAST",
    "MUCH_SMALLER",
    "SMALLER",
    "Step",
    "aspect_steps",
    "bar_steps",
    "loosened",
    "print_steps",
    "resolution_steps",
    "wish_steps",
]

ASPECTS = ("1:1", "5:4", "4:3", "3:2", "16:9", "2:1")
"""Aspects that prints and frames are sold in, lying; upright ones are the inverses (common practice, no source)."""
SMALLER = 0.9
"""Prints are tried down to this share of their size: a print of 27 cm does for one of 30, one of 20 is another."""
MUCH_SMALLER = 0.6
"""The same where there is no set at all, in about as many steps as always; below it in tenths of the size."""
MOST_STEPS = 5
"""Sizes of print tried, about."""
TENTH = 0.1
RESOLUTIONS = (300, 240, 200, 180, 150, 120, 100)
"""Pixels per inch that prints are made at, from what no eye tells from more, at arm's length, to what serves across a
room (common practice, no source)."""
SEEN = 3.0
"""L*, a* or b* by which prints beside each other must differ for most eyes to see it (common practice, no source)."""
ASPECT_SEEN = 0.1
"""The same of an aspect, as the logarithm of its ratio: 3:2 is 1.2 such steps from 4:3."""
OWN_WORD = 2.0
"""How far it is to drop a wish for a frame, or a bar."""
LAST = 100.0
"""How far another number of prints is: whoever wants three on a wall has room for three."""
MOST_BARS = 12
"""Bars dropped one by one, those made last; then all at once."""


class Step(NamedTuple):
    """One key of a brief moved: its value, keys as ``Session.change`` takes them, and how far it is, 0 = not at all."""

    key: str
    value: float | str
    keys: dict[str, Any]
    far: float
    says: str


def print_steps(brief: Brief, share: float, slots_of: Collection[int] | None = None) -> Iterator[Step]:
    """Yield whole centimetres less (half ones below 10), down to a share of the size; for each slot with its own.

    slots_of : numbers of the slots that alone are moved; None = the brief's own size, and all of them.
    """
    if slots_of is None and (not brief.slot or any(slot.print_cm is None for slot in brief.slot)):
        for cm in _smaller(brief.print_cm, share):
            far = (1 - cm / brief.print_cm) / TENTH
            yield Step("print_cm", cm, {"print_cm": cm}, far, f"at {cm:g} cm")
    for index, slot in _own(brief, slots_of):
        for cm in _smaller(slot.print_cm or 0.0, share):
            slots = [one.model_dump(exclude_unset=True) for one in brief.slot]
            slots[index]["print_cm"] = cm
            far = (1 - cm / (slot.print_cm or cm)) / TENTH
            yield Step(f"slot[{index}].print_cm", cm, {"slot": slots}, far, f"with {slot.called} at {cm:g} cm")


def _smaller(now: float, share: float) -> Iterator[float]:
    step = max(1.0 if now >= 10 else 0.5, float(round(now * (1 - share) / MOST_STEPS)))
    cm = (ceil(now / step) - 1) * step
    while cm > 0 and cm >= share * now:
        yield cm
        cm -= step
    if share > MUCH_SMALLER:
        return
    least = cm + step
    for tenths in (5, 4, 3, 2, 1):
        cm = round(2 * now * tenths * TENTH) / 2
        if 0 < cm < least:  # half centimetres: of a small print two tenths may be one
            yield cm
            least = cm


def resolution_steps(brief: Brief, slots_of: Collection[int] | None = None) -> Iterator[Step]:
    """Yield fewer pixels per inch; for each slot with its own. Above 300 fewer lose nothing. As ``print_steps``."""
    for ppi in _fewer(brief.min_ppi) if slots_of is None else ():
        yield Step("min_ppi", ppi, {"min_ppi": ppi}, _lost(brief.min_ppi, ppi), f"at {ppi} pixels per inch")
    for index, slot in _own(brief, slots_of):
        for ppi in _fewer(slot.min_ppi or 0.0):
            slots = [one.model_dump(exclude_unset=True) for one in brief.slot]
            slots[index]["min_ppi"] = ppi
            far, says = _lost(slot.min_ppi or 0.0, ppi), f"with {slot.called} at {ppi} pixels per inch"
            yield Step(f"slot[{index}].min_ppi", ppi, {"slot": slots}, far, says)


def _own(brief: Brief, slots_of: Collection[int] | None) -> Iterator[tuple[int, SlotWish]]:
    return ((index, slot) for index, slot in enumerate(brief.slot) if slots_of is None or index in slots_of)


def _fewer(now: float) -> Iterator[int]:
    return (ppi for ppi in RESOLUTIONS if ppi < now)


def _lost(now: float, ppi: float) -> float:
    enough = float(RESOLUTIONS[0])
    return max(1.0, (1 - ppi / min(now, enough)) / TENTH)


def aspect_steps(brief: Brief) -> Iterator[Step]:
    """Yield the aspects of the trade next to the brief's on either side, lying or upright as it is."""
    ratio = parse_aspect(brief.aspect)
    known = {parse_aspect(text): text for text in ASPECTS}
    if ratio < 1:
        known = {1 / value: ":".join(reversed(text.split(":"))) for value, text in known.items()}
    for side in (sorted(v for v in known if v < ratio - 1e-6)[-1:], sorted(v for v in known if v > ratio + 1e-6)[:1]):
        for value in side:
            text = known[value]
            far = abs(float(np.log(value / ratio))) / ASPECT_SEEN
            yield Step("aspect", text, {"aspect": text}, far, f"at an aspect of {text}")


def wish_steps(session: Changing) -> Iterator[Step]:
    """Yield each wish dropped."""
    frames = session.brief.frames
    for path in session.named(frames.include):
        left = session.without(frames.include, {path})
        wishes = {**frames.model_dump(), "include": left}
        yield Step("frames.include", path, {"frames": wishes}, OWN_WORD, f"without the wish for {path}")


def bar_steps(session: Changing) -> Iterator[Step]:
    """Yield each of the last bars dropped, and all of them."""
    frames = session.brief.frames
    for age, path in enumerate(frames.exclude[: -MOST_BARS - 1 : -1]):
        wishes = {**frames.model_dump(), "exclude": tuple(other for other in frames.exclude if other != path)}
        yield Step("frames.exclude", path, {"frames": wishes}, OWN_WORD + age / MOST_BARS, f"with {path} let in")
    if len(frames.exclude) > 1:
        wishes = {**frames.model_dump(), "exclude": ()}
        yield Step("frames", "", {"frames": wishes}, OWN_WORD + 2, f"without any of {len(frames.exclude)} bars")


def loosened(brief: Brief, assembly: Assembly, key: str, at: int, value: float) -> Iterator[Step]:
    """Yield the key of the brief behind a rule of the problem, set to a value."""
    if key == "size":
        far = LAST + abs(value - brief.size) / brief.size
        yield Step("size", int(value), {"size": int(value)}, far, f"with {count(int(value), 'frame')}")
    elif key == "tone_reach":
        axis = assembly.axes[at].name
        name = "cast" if axis.startswith("cast") else axis
        now = getattr(brief.tone.reach, name, None)
        if now is not None:
            reach = ceil(value * 100 - 1e-7) / 100  # rounded up, so that the number is enough
            tone = {**brief.tone.model_dump(), "reach": {**brief.tone.reach.model_dump(), name: reach}}
            far = (reach - now) / SEEN
            yield Step(
                f"tone.reach.{name}", reach, {"tone": tone}, far, f"with a reach of {assembly.axes[at].says} {reach:g}"
            )
    elif key == "group_cap" and assembly.caps[at].one in ("moment", "scene"):
        one, now = assembly.caps[at].one, int(assembly.problem.group_cap[at])
        repeats = {**brief.repeats.model_dump(), one: int(value)}
        yield Step(
            f"repeats.{one}", int(value), {"repeats": repeats}, float(value - now), f"with {int(value)} of one {one}"
        )
    elif key in ("role_min", "role_max"):
        yield from _role_steps(brief, at, int(value), end=0 if key == "role_min" else 1)


def _role_steps(brief: Brief, at: int, value: int, *, end: int) -> Iterator[Step]:
    name, ways = brief.role_names[at], ("at least", "at most")
    if brief.slot:
        slots = [one.model_dump(exclude_unset=True) for one in brief.slot]
        now = brief.slot[at].count
        keys: dict[str, Any] = {"slot": slots}
        holder = slots[at]
    elif name in brief.roles:
        roles = {role: wish.model_dump() for role, wish in brief.roles.items()}
        now, keys, holder = brief.roles[name].count, {"roles": roles}, roles[name]
    else:
        return
    holder["count"] = tuple(value if side == end else old for side, old in enumerate(now))
    far = float(abs(value - now[end]))
    yield Step(f"roles.{name}", value, keys, far, f"with {ways[end]} {count(value, f'{name} frame')}")
