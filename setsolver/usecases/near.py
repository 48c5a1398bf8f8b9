"""What a brief only just misses: small changes of it by which the best set gains, or without which there is none.

A step is one key of the brief moved a little: prints a few centimetres smaller, another aspect of the trade, one more
frame of a scene, a little more reach. Each step is solved like any other brief.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.domain.outcome import NearMiss
from setsolver.errors import BadBrief, NoSet
from setsolver.rules.words import count
from setsolver.solver.feasible import possible
from setsolver.solver.ready import make_ready
from setsolver.solver.ruleset import Ruleset
from setsolver.usecases.changing import checked_brief
from setsolver.usecases.steps import (
    LAST,
    MUCH_SMALLER,
    SMALLER,
    Step,
    aspect_steps,
    bar_steps,
    loosened,
    print_steps,
    resolution_steps,
    wish_steps,
)

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.problem import Ints, Problem
    from setsolver.domain.solution import Choice, Clash
    from setsolver.rules import Assembly
    from setsolver.usecases.session import Session

__all__ = ["Nearest", "near_misses", "nearest", "steps_out", "ways_out"]

MANY = {"frames.include": 3, "frames.exclude": 3}
"""Keys of which several steps lead to different sets; of all others the nearest is enough."""
_SLOT = re.compile(r"^(?:role_min\[|gain\[:,)(\d+)")
"""A rule of the problem that says a slot has too few frames, and the slot's number."""
WORTH = 0.05
"""Points from which a gain is worth a sentence."""


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
    for step in (*print_steps(session.brief, SMALLER), *aspect_steps(session.brief)):
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
    yield from wish_steps(session)
    try:
        assembly, ruled_out = session.assembly, session.assembly.ruled_out
    except NoSet as error:
        assembly, ruled_out = None, error.ruled_out
    yield from bar_steps(session)
    if any(out.rule == "resolution" for out in ruled_out):
        yield from print_steps(brief, MUCH_SMALLER)
        yield from resolution_steps(brief)
    else:  # a slot's own prints may be too large for frames that serve in others
        short = {int(at) for clash in clashes for at in _SLOT.findall(clash.rule)}
        yield from print_steps(brief, MUCH_SMALLER, short)
        yield from resolution_steps(brief, short)
    if assembly is None:
        left = len(_usable_now(session))
        if 0 < left < brief.size:
            yield Step("size", left, {"size": left}, LAST, f"with {count(left, 'frame')}")
        return
    for clash in clashes:
        if clash.loosened is not None:
            key, _, at = clash.rule.rstrip("]").partition("[")
            yield from loosened(brief, assembly, key, int(at) if at.isdigit() else 0, clash.loosened)


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
