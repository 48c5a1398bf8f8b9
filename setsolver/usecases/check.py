"""Grade a set made by hand with the same ledger: which rules it breaks, and what it scores."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.domain.validate import best_look, broken
from setsolver.errors import BadInput
from setsolver.rules.wishes import frames_named
from setsolver.usecases.effort import Effort
from setsolver.usecases.modest import modest_assembly
from setsolver.usecases.outcome import set_found
from setsolver.usecases.words import broken_in_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.brief import Brief
    from setsolver.domain.problem import Problem
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice
    from setsolver.rules import Assembly

__all__ = ["check"]


def check(snapshot: Snapshot, brief: Brief, paths: Sequence[str], effort: Effort = Effort()) -> dict[str, Any]:
    """Return the document ``setsolver/check`` version 1: does the set hold together, what breaks, and the ledger.

    Frames take the renditions, roles and look that serve the set best. Where the rules cannot all hold, hard rules are
    lifted for the grading and named under ``broken``; what wishes of the brief waive stands under ``notes``.

    Raises
    ------
    BadInput
        Where a path is not in the catalog, is named twice, or was refused.
    """
    frames = [_frame_id(snapshot, path) for path in paths]
    if len(set(frames)) != len(frames):
        raise BadInput(f"{paths[_first_repeat(frames)]} is named twice; name every frame once")
    assembly, asked = modest_assembly(snapshot, brief)
    playing = set(assembly.problem.frame.tolist())
    usable = [frame for frame in frames if frame in playing]
    faults = [] if len(frames) == brief.size else [f"{len(frames)} frames given, the brief wants {brief.size}"]
    faults += _wishes_broken(snapshot, brief, frames) + [clash.says for clash in assembly.clashes]
    faults += [
        f"{snapshot.frames[f].path}: {assembly.reasons.get(f, 'no rendition of it can play a role')}"
        for f in frames
        if f not in playing
    ]
    document: dict[str, Any] = {"format": "setsolver/check", "version": 1, "brief": brief.name, "frames": list(paths)}
    if usable:
        sized = asked._replace(size=len(usable))
        assembly = replace(assembly, problem=assembly.problem.replaced(**sized._asdict()))
    graded = _graded(assembly, usable, effort) if usable else None
    if graded is not None:
        choice, more = graded
        faults += more
        document["set"] = set_found(assembly, choice).model_dump(mode="json")
    notes = [note for frame, waived in assembly.waived.items() if frame in frames for note in waived]
    return {**document, "holds": not faults, "broken": faults, "notes": notes, "set": document.get("set")}


def _frame_id(snapshot: Snapshot, path: str) -> int:
    frame = snapshot.by_path(path)
    if frame is None:
        refused = next((f"; it was refused: {r.why}" for r in snapshot.refused if r.path == path), "")
        raise BadInput(f"{path} is not a frame of the catalog {snapshot.folder}{refused}")
    return frame.id


def _wishes_broken(snapshot: Snapshot, brief: Brief, frames: list[int]) -> list[str]:
    missing = [f for f in frames_named("include", brief.frames.include, snapshot).tolist() if f not in frames]
    barred = [f for f in frames_named("exclude", brief.frames.exclude, snapshot).tolist() if f in frames]
    return [f"{snapshot.frames[f].path} must be in (include)" for f in missing] + [
        f"{snapshot.frames[f].path} must be out (exclude)" for f in barred
    ]


def _first_repeat(frames: list[int]) -> int:
    return next(i for i, frame in enumerate(frames) if frame in frames[:i])


def _graded(assembly: Assembly, usable: list[int], effort: Effort) -> tuple[Choice, list[str]] | None:
    strict = _only(assembly.problem, usable)
    solution = effort.solve(strict)
    if solution.best is not None:
        return _mapped(assembly, solution.best, usable), []
    relaxed = effort.solve(_lifted(strict))
    if relaxed.best is None:
        return None
    choice = relaxed.best
    look = best_look(strict, choice.chosen)
    faults = broken(strict, choice.chosen, choice.roles, choice.look if look is None else look.tolist())
    return _mapped(assembly, choice, usable), broken_in_words(assembly, faults)


def _rows(problem: Problem, frames: list[int]) -> np.ndarray:
    return np.flatnonzero(np.isin(problem.frame, frames))


def _only(problem: Problem, frames: list[int]) -> Problem:
    """Return the problem of choosing exactly these frames."""
    return problem.take(_rows(problem, frames), include=frames)


def _lifted(problem: Problem) -> Problem:
    """Return the problem without its hard rules, so that any set can be graded."""
    roles = len(problem.role_min)
    return problem.replaced(
        role_min=np.zeros(roles, dtype=np.int64),
        role_max=np.full(roles, problem.size),
        tone_reach=np.full_like(problem.tone_reach, np.inf),
        group_cap=np.full_like(problem.group_cap, problem.size),
        conflict=np.zeros((0, 2), dtype=np.int64),
    )


def _mapped(assembly: Assembly, choice: Choice, usable: list[int]) -> Choice:
    """Return the choice with rows of the whole problem instead of the reduced one."""
    rows = _rows(assembly.problem, usable)
    return type(choice)(
        chosen=tuple(int(rows[i]) for i in choice.chosen),
        roles=choice.roles,
        look=choice.look,
        score=choice.score,
        bound=choice.bound,
        kind="graded",
    )
