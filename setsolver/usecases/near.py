"""What a brief only just misses: small changes of it by which the best set gains, or without which there is none.

A step is one key of the brief moved a little: prints a few centimetres smaller, another aspect of the trade, one more
frame of a scene, a little more reach. Each step is solved like any other brief.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import ceil
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from setsolver.domain.geometry import parse_aspect
from setsolver.domain.outcome import NearMiss
from setsolver.errors import BadBrief, NoSet
from setsolver.rules.words import count
from setsolver.solver.feasible import possible
from setsolver.solver.ready import make_ready
from setsolver.solver.ruleset import Ruleset
from setsolver.usecases.changing import checked_brief

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.problem import Ints, Problem
    from setsolver.domain.solution import Choice, Clash
    from setsolver.rules import Assembly
    from setsolver.usecases.session import Session

__all__ = ["Nearest", "Step", "near_misses", "nearest", "steps_out", "ways_out"]

ASPECTS = ("1:1", "5:4", "4:3", "3:2", "16:9", "2:1")
"""Aspects that prints and frames are sold in, lying; upright ones are the inverses (common practice, no source)."""
SMALLER = 0.9
"""Prints are tried down to this share of their size: a print of 27 cm does for one of 30, one of 20 is another."""
MUCH_SMALLER = 0.6
"""The same where there is no set at all."""
MOST_STEPS = 5
"""Sizes of print tried, about."""
LAST = 10.0
"""How far another number of prints is: whoever wants three on a wall has room for three."""
MANY = {"frames.include": 3, "frames.exclude": 3}
"""Keys of which several steps lead to different sets; of all others the nearest is enough."""
MOST_BARS = 12
"""Bars dropped one by one, those made last; then all at once."""
WORTH = 0.05
"""Points from which a gain is worth a sentence."""


class Step(NamedTuple):
    """One key of a brief moved: its value, keys as ``Session.change`` takes them, and how far it is, 0 = not at all."""

    key: str
    value: float | str
    keys: dict[str, Any]
    far: float
    says: str


class Nearest(NamedTuple):
    """The nearest brief found that has a set, the step to it, and how many more frames count then."""

    brief: Brief
    step: Step
    more: int

    @property
    def miss(self) -> NearMiss:
        """The step as the outcome says it."""
        frames = f" {count(self.more, 'more frame')} {'counts' if self.more == 1 else 'count'} and" if self.more else ""
        says = f"{self.step.says}{frames} a set exists"
        return NearMiss(key=self.step.key, value=self.step.value, says=says, frames=self.more, points=None, proven=True)


def near_misses(session: Session, best: Choice) -> tuple[NearMiss, ...]:
    """Return the steps by which the best set gains, the most first; of sizes of print the first and the best."""
    now = _usable(session.assembly.problem)
    found: dict[str, list[NearMiss]] = {}
    for step in (*_print_steps(session.brief, SMALLER), *_aspect_steps(session.brief)):
        assembly = _assembled(session, step)
        if assembly is None:
            continue
        more = len(np.setdiff1d(_usable(assembly.problem), now))
        if not more:
            continue
        other = session.solution_of(assembly).best
        gained = 0.0 if other is None else other.score - best.score
        if other is not None and gained >= WORTH:
            miss = _gains(step, more, gained, proven=other.proven and best.proven)
            found.setdefault(step.key, []).append(miss)
    kept = [miss for misses in found.values() for miss in _first_and_best(misses)]
    return tuple(sorted(kept, key=lambda miss: -(miss.points or 0.0)))


def nearest(session: Session, clashes: tuple[Clash, ...]) -> Nearest | None:
    """Return the nearest brief that has a set, None where no single step of those known leads to one.

    Parameters
    ----------
    clashes : the rules that cannot hold together, with how far each must be loosened.
    """
    return next(ways_out(session, clashes), None)


def ways_out(session: Session, clashes: tuple[Clash, ...]) -> Iterator[Nearest]:
    """Yield briefs that have a set, each by one step from the session's, the nearest first; see ``nearest``."""
    make_ready("clash")
    keys = Counter[str]()
    for step in sorted(steps_out(session, clashes), key=lambda step: step.far):
        if keys[step.key] >= MANY.get(step.key, 1):
            continue  # less of the same does already
        brief = _changed(session.brief, step)
        assembly = None if brief is None else _assembled(session, step)
        if brief is not None and assembly is not None and possible(Ruleset.of(assembly.problem)).answer:
            keys[step.key] += 1
            more = len(np.setdiff1d(_usable(assembly.problem), _usable_now(session)))
            yield Nearest(brief, step, more)


def steps_out(session: Session, clashes: tuple[Clash, ...]) -> Iterator[Step]:
    """Yield steps that may lead to a set: each clash loosened as far as it must be, smaller prints, dropped wishes."""
    brief = session.brief
    yield from _wish_steps(session)
    try:
        assembly, ruled_out = session.assembly, session.assembly.ruled_out
    except NoSet as error:
        assembly, ruled_out = None, error.ruled_out
    yield from _bar_steps(session)
    if any(out.rule == "resolution" for out in ruled_out):
        yield from _print_steps(brief, MUCH_SMALLER)
    if assembly is None:
        left = len(_usable_now(session))
        if 0 < left < brief.size:
            yield Step("size", left, {"size": left}, LAST, f"with {count(left, 'frame')}")
        return
    for clash in clashes:
        if clash.loosened is not None:
            key, _, at = clash.rule.rstrip("]").partition("[")
            yield from _loosened(brief, assembly, key, int(at) if at.isdigit() else 0, clash.loosened)


def _usable(problem: Problem) -> Ints:
    return np.setdiff1d(problem.frame, problem.exclude)


def _usable_now(session: Session) -> Ints:
    try:
        return _usable(session.assembly.problem)
    except NoSet as error:
        return np.setdiff1d(np.arange(len(session.snapshot.frames)), list(error.reasons))


def _changed(brief: Brief, step: Step) -> Brief | None:
    try:
        return checked_brief(brief, step.keys)
    except BadBrief:
        return None


def _assembled(session: Session, step: Step) -> Assembly | None:
    """Return the assembly after a step, None where the brief cannot be so or leaves no place for a set."""
    brief = _changed(session.brief, step)
    try:
        return None if brief is None else session.assembly_of(brief)
    except BadBrief:
        return None


def _first_and_best(misses: list[NearMiss]) -> list[NearMiss]:
    best = max(misses, key=lambda miss: miss.points or 0.0)
    return [misses[0]] if (best.points or 0.0) < (misses[0].points or 0.0) + WORTH else [misses[0], best]


def _gains(step: Step, more: int, gained: float, *, proven: bool) -> NearMiss:
    verb = "counts" if more == 1 else "count"
    least = "" if proven else "at least "
    says = f"{step.says} {count(more, 'more frame')} {verb} and the best set gains {least}{gained:.1f} points"
    return NearMiss(key=step.key, value=step.value, says=says, frames=more, points=gained, proven=proven)


def _print_steps(brief: Brief, share: float) -> Iterator[Step]:
    """Yield whole centimetres less (half ones below 10), down to a share of the size; for each slot with its own."""
    if not brief.slot or any(slot.print_cm is None for slot in brief.slot):
        for cm in _smaller(brief.print_cm, share):
            yield Step("print_cm", cm, {"print_cm": cm}, 1 - cm / brief.print_cm, f"at {cm:g} cm")
    for index, slot in enumerate(brief.slot):
        for cm in _smaller(slot.print_cm or 0.0, share):
            slots = [one.model_dump(exclude_unset=True) for one in brief.slot]
            slots[index]["print_cm"] = cm
            far = 1 - cm / (slot.print_cm or cm)
            yield Step(f"slot[{index}].print_cm", cm, {"slot": slots}, far, f"with {slot.called} at {cm:g} cm")


def _smaller(now: float, share: float) -> Iterator[float]:
    step = max(1.0 if now >= 10 else 0.5, float(round(now * (1 - share) / MOST_STEPS)))
    cm = (ceil(now / step) - 1) * step
    while cm > 0 and cm >= share * now:
        yield cm
        cm -= step


def _aspect_steps(brief: Brief) -> Iterator[Step]:
    """Yield the aspects of the trade next to the brief's on either side, lying or upright as it is."""
    ratio = parse_aspect(brief.aspect)
    known = {parse_aspect(text): text for text in ASPECTS}
    if ratio < 1:
        known = {1 / value: ":".join(reversed(text.split(":"))) for value, text in known.items()}
    for side in (sorted(v for v in known if v < ratio - 1e-6)[-1:], sorted(v for v in known if v > ratio + 1e-6)[:1]):
        for value in side:
            text = known[value]
            far = abs(float(np.log(value / ratio)))
            yield Step("aspect", text, {"aspect": text}, far, f"at an aspect of {text}")


def _wish_steps(session: Session) -> Iterator[Step]:
    """Yield each wish dropped."""
    frames = session.brief.frames
    for path in session.named(frames.include):
        left = session.without(frames.include, {path})
        wishes = {**frames.model_dump(), "include": left}
        yield Step("frames.include", path, {"frames": wishes}, 1.0, f"without the wish for {path}")


def _bar_steps(session: Session) -> Iterator[Step]:
    """Yield each of the last bars dropped, and all of them."""
    frames = session.brief.frames
    for age, path in enumerate(frames.exclude[: -MOST_BARS - 1 : -1]):
        wishes = {**frames.model_dump(), "exclude": tuple(other for other in frames.exclude if other != path)}
        yield Step("frames.exclude", path, {"frames": wishes}, 1 + age / MOST_BARS, f"with {path} let in")
    if len(frames.exclude) > 1:
        wishes = {**frames.model_dump(), "exclude": ()}
        yield Step("frames", "", {"frames": wishes}, 3.0, f"without any of {len(frames.exclude)} bars")


def _loosened(brief: Brief, assembly: Assembly, key: str, at: int, value: float) -> Iterator[Step]:
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
            far = (reach - now) / max(now, 1.0)
            yield Step(
                f"tone.reach.{name}", reach, {"tone": tone}, far, f"with a reach of {assembly.axes[at].says} {reach:g}"
            )
    elif key == "group_cap" and assembly.caps[at].one in ("moment", "scene"):
        one, now = assembly.caps[at].one, int(assembly.problem.group_cap[at])
        repeats = {**brief.repeats.model_dump(), one: int(value)}
        yield Step(
            f"repeats.{one}", int(value), {"repeats": repeats}, (value - now) / now, f"with {int(value)} of one {one}"
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
    far = abs(value - now[end]) / max(1, now[end])
    yield Step(f"roles.{name}", value, keys, far, f"with {ways[end]} {count(value, f'{name} frame')}")
