"""Grade a set made by hand with the same ledger: which rules it breaks, and what it scores."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.errors import BadInput
from setsolver.rules.wishes import frames_named
from setsolver.usecases.breaks import Break, best_swap, breaks_of, size_break
from setsolver.usecases.effort import Effort
from setsolver.usecases.modest import Asked, modest_assembly
from setsolver.usecases.outcome import set_found

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
    lifted for the grading and named under ``broken``, and under ``breaks`` with their frames and a way out. ``swap`` is
    the best set that keeps the rules with one frame changed; what wishes of the brief waive stands under ``notes``.

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
    barred = frames_named("exclude", brief.frames.exclude, snapshot).tolist()
    whole = _asking(snapshot, assembly, asked) if len(playing - set(barred)) >= brief.size else None
    wrong_size = size_break(whole, frames, brief.size, effort)
    faults = ([wrong_size] if wrong_size else []) + _wishes_broken(snapshot, brief, frames)
    faults += [Break(clash.says, (), clash.way_out) for clash in assembly.clashes]
    faults += [_unplayable(assembly, frame) for frame in frames if frame not in playing]
    found = None
    if usable:
        sized = asked._replace(size=len(usable))
        assembly = replace(assembly, problem=assembly.problem.replaced(**sized._asdict()))
        graded = _graded(assembly, usable, effort)
        if graded is not None:
            choice, more = graded
            faults += more
            found = set_found(assembly, choice)
    score = found.score if found is not None and not faults else None
    notes = [note for frame, waived in assembly.waived.items() if frame in frames for note in waived]
    return {
        "format": "setsolver/check",
        "version": 1,
        "brief": brief.name,
        "frames": list(paths),
        "holds": not faults,
        "broken": [fault.says for fault in faults],
        "breaks": [fault._asdict() | {"frames": list(fault.frames)} for fault in faults],
        "swap": best_swap(whole, frames, score, effort),
        "notes": notes,
        "set": None if found is None else found.model_dump(mode="json"),
    }


def _asking(snapshot: Snapshot, assembly: Assembly, asked: Asked) -> Assembly:
    """Return an assembly with the numbers and the wishes that the brief asks for."""
    wishes = {
        key: frames_named(key, getattr(assembly.brief.frames, key), snapshot).tolist() for key in ("include", "exclude")
    }
    usable = np.unique(assembly.problem.frame)
    wishes["include"] = [frame for frame in wishes["include"] if frame in usable]
    return replace(assembly, problem=assembly.problem.replaced(**asked._asdict(), **wishes))


def _unplayable(assembly: Assembly, frame: int) -> Break:
    path = assembly.snapshot.frames[frame].path
    why = assembly.reasons.get(frame, "no rendition of it can play a role")
    return Break(f"{path}: {why}", (path,), "take another frame for it")


def _frame_id(snapshot: Snapshot, path: str) -> int:
    frame = snapshot.by_path(path)
    if frame is None:
        refused = next((f"; it was refused: {r.why}" for r in snapshot.refused if r.path == path), "")
        raise BadInput(f"{path} is not a frame of the catalog {snapshot.folder}{refused}")
    return frame.id


def _wishes_broken(snapshot: Snapshot, brief: Brief, frames: list[int]) -> list[Break]:
    missing = [f for f in frames_named("include", brief.frames.include, snapshot).tolist() if f not in frames]
    barred = [f for f in frames_named("exclude", brief.frames.exclude, snapshot).tolist() if f in frames]
    path = {frame: snapshot.frames[frame].path for frame in missing + barred}
    return [
        Break(f"{path[frame]} must be in (include)", (path[frame],), "take it in, or drop this wish")
        for frame in missing
    ] + [
        Break(f"{path[frame]} must be out (exclude)", (path[frame],), "take another frame for it, or drop this wish")
        for frame in barred
    ]


def _first_repeat(frames: list[int]) -> int:
    return next(i for i, frame in enumerate(frames) if frame in frames[:i])


def _graded(assembly: Assembly, usable: list[int], effort: Effort) -> tuple[Choice, list[Break]] | None:
    strict = _only(assembly.problem, usable)
    solution = effort.solve(strict)
    if solution.best is not None:
        return _mapped(assembly, solution.best, usable), []
    relaxed = effort.solve(_lifted(strict))
    if relaxed.best is None:
        return None
    choice = relaxed.best
    mapped = _mapped(assembly, choice, usable)
    paths = [assembly.renditions[row].frame.path for row in mapped.chosen]
    return mapped, breaks_of(assembly, strict, choice, paths)


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
