"""Shortfall: what the catalog lacks for a brief, said as what to shoot before leaving."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.errors import BadBrief
from setsolver.rules import Assembly
from setsolver.rules.tone import Tone
from setsolver.rules.wishes import frames_named
from setsolver.rules.words import count, in_a_row
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Ruleset
from setsolver.usecases.effort import Effort
from setsolver.usecases.modest import Asked, modest_assembly
from setsolver.usecases.solve import solve
from setsolver.usecases.thin import thin_roles, worth_of
from setsolver.usecases.wishes import Wished, with_wishes
from setsolver.usecases.words import clashes_in_words

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.slot import Slot
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice

__all__ = ["gaps"]


def gaps(snapshot: Snapshot, brief: Brief, effort: Effort = Effort()) -> dict[str, Any]:
    """Return the document ``setsolver/gaps`` version 1.

    possible : True where the brief can be met. missing : where not, the fewest frames with which it could, by role,
    with the look that they should have. thin : by role, how many frames can play it, and what one more good frame in
    the look would gain. conflict, ruled_out : as in the outcome. notes : what wishes of the brief waive.

    Raises
    ------
    BadBrief
        Where the brief does not fit the catalog for another reason than too few frames.
    """
    document: dict[str, Any] = {
        "format": "setsolver/gaps",
        "version": 1,
        "brief": brief.name,
        "catalog": snapshot.folder,
    }
    assembly, asked = _assembled(snapshot, brief)
    document["notes"] = list(assembly.notes)
    if assembly.clashes:
        return {**document, **_clashing(assembly)}
    full = _asking(assembly, asked) if _enough(assembly, brief) else None
    found = None if full is None else solve(full.problem, effort)
    document["ruled_out"] = [out.model_dump(mode="json") for out in assembly.ruled_out]
    document["conflict"] = []
    if full is not None and found is not None and found.best is not None:
        thin = thin_roles(full, found.best, effort)
        return {**document, "possible": True, "says": _rich(found.best), "missing": [], "thin": thin}
    if full is not None and found is not None:
        clashes = clashes_in_words(full, found.conflict)
        document["conflict"] = [clash.model_dump(mode="json") for clash in clashes]
    missing, proven = _missing(assembly, asked, effort)
    says = _shortfall(brief, missing, proven=proven)
    return {**document, "possible": False, "says": says, "missing": missing, "thin": []}


def _clashing(assembly: Assembly) -> dict[str, Any]:
    """Return what is said where wishes have no place: no frame that is shot changes that."""
    return {
        "ruled_out": [out.model_dump(mode="json") for out in assembly.ruled_out],
        "conflict": [clash.model_dump(mode="json") for clash in assembly.clashes],
        "possible": False,
        "says": "No set exists, and new frames do not make one: " + "; ".join(clash.says for clash in assembly.clashes),
        "missing": [],
        "thin": [],
    }


def _assembled(snapshot: Snapshot, brief: Brief) -> tuple[Assembly, Asked]:
    if not snapshot.frames:
        raise BadBrief(f"{snapshot.folder} holds no photograph yet; shoot first, then ask what is missing")
    assembly, asked = modest_assembly(snapshot, brief)
    wishes = {key: frames_named(key, getattr(brief.frames, key), snapshot).tolist() for key in ("include", "exclude")}
    usable = set(assembly.problem.frame.tolist())
    wishes["include"] = [frame for frame in wishes["include"] if frame in usable]
    return replace(assembly, problem=assembly.problem.replaced(size=max(1, len(wishes["include"])), **wishes)), asked


def _asking(assembly: Assembly, asked: Asked) -> Assembly:
    return replace(assembly, problem=assembly.problem.replaced(**asked._asdict()))


def _enough(assembly: Assembly, brief: Brief) -> bool:
    return len(np.setdiff1d(assembly.problem.frame, assembly.problem.exclude)) >= brief.size


def _missing(assembly: Assembly, asked: Asked, effort: Effort) -> tuple[list[dict[str, Any]], bool]:
    """Return the fewest frames to shoot, by role with the look, and whether fewer are proven to be too few."""
    wished = with_wishes(assembly.problem, asked, worth_of(assembly.problem.gain), effort.seed)
    least, proven = _least(wished)
    best = effort.solve(wished.capped(least)).best
    if best is None:
        return [], False
    roles = [int(role) for row, role in zip(best.chosen, best.roles, strict=True) if row >= wished.first]
    axes = zip(assembly.axes, best.look, strict=True)
    look = {axis.name: value for axis, value in axes if axis.term == Tone.name}
    return [
        {
            "role": assembly.slots[role].name,
            "frames": roles.count(role),
            "look": look,
            "says": _shot(assembly.slots[role], roles.count(role)),
        }
        for role in sorted(set(roles))
    ], proven


def _least(wished: Wished) -> tuple[int, bool]:
    proven = True
    for most in range(1, wished.problem.size):
        verdict = possible(Ruleset.of(wished.capped(most)))
        if verdict.answer:
            return most, proven
        proven = proven and verdict.answer is False
    return wished.problem.size, proven


def _shot(slot: Slot, frames: int) -> str:
    return (
        f"shoot {count(frames, f'{slot.name} frame')}, sharp, {slot.aspect} with room to level, "
        f"at least {slot.pixels} pixels along the long edge of the crop"
    )


def _rich(best: Choice) -> str:
    proof = "proven best" if best.proven else f"at most {best.bound:.2f}"
    return f"Nothing is missing: a set exists ({best.score:.2f} points, {proof})."


def _shortfall(brief: Brief, missing: list[dict[str, Any]], *, proven: bool) -> str:
    if not missing:
        return "No set exists, and new frames alone do not make one under these rules; see which rules clash."
    total = sum(one["frames"] for one in missing)
    parts = in_a_row([count(one["frames"], f"{one['role']} frame") for one in missing])
    proof = "no fewer is enough" if proven else "fewer might be enough"
    return f"The brief {brief.name} lacks {count(total, 'frame')}: {parts} ({proof})."
