"""Rules that a set made by hand breaks, each with its frames and a way out; and the best swap of one frame."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from setsolver.domain.validate import best_look, broken
from setsolver.rules.words import count, in_a_row, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice
    from setsolver.rules import Assembly
    from setsolver.usecases.effort import Effort

__all__ = ["Break", "best_swap", "breaks_of", "size_break"]


class Break(NamedTuple):
    """A rule that a set breaks, in words. frames : paths that it is about, none where a frame is missing."""

    says: str
    frames: tuple[str, ...] = ()
    way_out: str = ""


def breaks_of(assembly: Assembly, problem: Problem, choice: Choice, paths: Sequence[str]) -> list[Break]:
    """Return the rules of a problem that a set breaks.

    Parameters
    ----------
    problem : of the set's frames alone, that ``choice`` indexes. paths : of its members, in the order of ``choice``.
    """
    look = best_look(problem, choice.chosen)
    keys = [
        b.rule for b in broken(problem, choice.chosen, choice.roles, choice.look if look is None else look.tolist())
    ]
    found = [_broken(assembly, problem, choice, paths, *_parts(key)) for key in keys if key != "conflict"]
    return found + _conflicts(assembly, problem, choice, paths)


def _parts(key: str) -> tuple[str, int]:
    name, _, at = key.partition("[")
    return name, int(at.rstrip("]").partition(",")[0] or 0)


def _broken(assembly: Assembly, problem: Problem, choice: Choice, paths: Sequence[str], name: str, at: int) -> Break:
    says = assembly.says(f"{name}[{at}]")
    if name in ("role_min", "role_max"):
        return _role(assembly, choice, paths, name, at, says)
    if name == "tone_reach":
        return _tone(assembly, problem, choice, paths, at)
    if name == "group_cap":
        return _cap(assembly, problem, choice, paths, at, says)
    return Break(says)


def _role(assembly: Assembly, choice: Choice, paths: Sequence[str], name: str, at: int, says: str) -> Break:
    role = assembly.slots[at].name
    playing = tuple(path for path, played in zip(paths, choice.roles, strict=True) if played == at)
    told = f"{says}, but " + (f"{len(playing)} {'is' if len(playing) == 1 else 'are'}" if playing else "there is none")
    if name == "role_max":
        return Break(told, playing, f"take a frame of another role for one of them, or let {len(playing)} be {role}")
    others = [path for path in _best_paid(assembly, at) if path not in paths]
    if not others:
        return Break(told, playing, f"shoot one more {role} frame: no other can be {role}")
    return Break(told, playing, f"{count(len(others), 'other frame')} can be {role}, the best paid is {others[0]}")


def _best_paid(assembly: Assembly, role: int) -> list[str]:
    gain = assembly.problem.gain[:, role]
    able = np.flatnonzero(~np.isnan(gain) & ~np.isin(assembly.problem.frame, assembly.problem.exclude))
    return list(dict.fromkeys(assembly.renditions[row].frame.path for row in able[np.argsort(-gain[able])]))


def _tone(assembly: Assembly, problem: Problem, choice: Choice, paths: Sequence[str], at: int) -> Break:
    axis = assembly.axes[at]
    value = problem.tone[list(choice.chosen), at]
    apart, allowed = float(np.ptp(value)), 2 * (axis.reach + axis.slack)
    far = paths[int(np.abs(value - np.median(value)).argmax())]
    needed = np.ceil((apart / 2 - axis.slack) * 10) / 10
    says = f"{axis.says}: the frames lie {number(apart)} apart, reach and slack allow {number(allowed)}"
    return Break(says, (far,), f"take another frame for {far}, or set its reach to {needed:g}")


def _cap(assembly: Assembly, problem: Problem, choice: Choice, paths: Sequence[str], at: int, says: str) -> Break:
    labels, cap = problem.group[at, list(choice.chosen)], int(problem.group_cap[at])
    values, counts = np.unique(labels[labels >= 0], return_counts=True)
    label, most = values[counts.argmax()], int(counts.max())
    same = tuple(path for path, own in zip(paths, labels, strict=True) if own == label)
    way = f"keep {cap or 'none'} of {in_a_row(same)}, or let {most} of one {assembly.caps[at].one} be in"
    return Break(f"{says}, but {most} are", same, way)


def _conflicts(assembly: Assembly, problem: Problem, choice: Choice, paths: Sequence[str]) -> list[Break]:
    path = dict(zip(problem.frame[list(choice.chosen)].tolist(), paths, strict=True))
    return [
        Break(assembly.says(f"conflict[{at}]"), (path[a], path[b]), f"take another frame for {path[a]} or {path[b]}")
        for at, (a, b) in enumerate(problem.conflict.tolist())
        if a in path and b in path
    ]


def size_break(assembly: Assembly | None, frames: Sequence[int], size: int, effort: Effort) -> Break | None:
    """Return what is said of another number of frames than the brief's, with the frames to add or to leave out.

    Parameters
    ----------
    assembly : with the numbers and wishes of the brief; None where the catalog holds too few frames for it.
    """
    if len(frames) == size:
        return None
    says = f"{count(len(frames), 'frame')} given, the brief wants {size}"
    less = len(frames) > size
    way = f"leave out {len(frames) - size}" if less else f"add {size - len(frames)}"
    if assembly is None:
        return Break(says, (), way)
    problem = assembly.problem
    wished = _among(problem, frames) if less else _with(problem, frames)
    best = None if wished is None else effort.solve(wished).best
    if wished is None or best is None:
        return Break(says, (), way)
    moved = sorted(set(frames) ^ set(wished.frame[list(best.chosen)].tolist()))
    told = in_a_row([assembly.snapshot.frames[frame].path for frame in moved])
    return Break(says, (), f"{'leave out' if less else 'add'} {told}: that set keeps the rules")


def _with(problem: Problem, frames: Sequence[int]) -> Problem | None:
    """Return the problem with frames in; None where they cannot be, all of them and with what is wished."""
    include = np.union1d(problem.include, np.asarray(frames, dtype=np.int64))
    if (
        len(include) > problem.size
        or not np.isin(frames, problem.frame).all()
        or np.isin(frames, problem.exclude).any()
    ):
        return None
    return problem.replaced(include=include)


def _among(problem: Problem, frames: Sequence[int]) -> Problem | None:
    """Return the problem of choosing among these frames; None where wished ones are not among them."""
    if not np.isin(problem.include, frames).all():
        return None
    rows = np.flatnonzero(np.isin(problem.frame, frames) & ~np.isin(problem.frame, problem.exclude))
    if len(np.unique(problem.frame[rows])) < problem.size:
        return None
    return problem.take(rows, include=problem.include, exclude=problem.exclude[:0])


def best_swap(
    assembly: Assembly | None, frames: Sequence[int], score: float | None, effort: Effort
) -> dict[str, Any] | None:
    """Return the best set that keeps the rules with one of the frames changed for another; None where there is none.

    Every place is solved for with all other frames kept, in whatever role and crop serves.

    Parameters
    ----------
    assembly : as in ``size_break``. score : of the set as it is; None where it breaks a rule.
    """
    if assembly is None or len(frames) != assembly.problem.size:
        return None
    limit = None if effort.time_limit is None else effort.time_limit / max(1, len(frames))
    shared = replace(effort, time_limit=limit, progress=None)
    found = [(frame, best) for frame in frames if (best := _around(assembly.problem, frames, frame, shared))]
    if not found:
        return None
    frame, best = max(found, key=lambda one: one[1].score)
    (enters,) = set(assembly.problem.frame[list(best.chosen)].tolist()) - set(frames)
    leaves, enters = (assembly.snapshot.frames[one].path for one in (frame, enters))
    return {
        "leaves": leaves,
        "enters": enters,
        "score": best.score,
        "points": None if score is None else best.score - score,
        "proven": all(one.proven for _, one in found),
        "says": _swap_said(leaves, enters, best.score, score),
    }


def _around(problem: Problem, frames: Sequence[int], leaving: int, effort: Effort) -> Choice | None:
    others = [frame for frame in frames if frame != leaving]
    wished = None if leaving in problem.include else _with(problem, others)
    exclude = np.union1d(problem.exclude, [leaving])
    if wished is None or len(np.setdiff1d(problem.frame, exclude)) < problem.size:
        return None
    return effort.solve(wished.replaced(exclude=exclude)).best


def _swap_said(leaves: str, enters: str, new: float, score: float | None) -> str:
    if score is None:
        return f"with {enters} for {leaves} it keeps the rules, at {new:.2f} points"
    if new <= score:
        return f"no single swap gains; the nearest, {enters} for {leaves}, loses {score - new:.2f} points"
    return f"{enters} for {leaves} gains {new - score:.2f} points"
