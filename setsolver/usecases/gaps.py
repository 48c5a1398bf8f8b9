"""Shortfall: what the catalog lacks for a brief, said as what to shoot before leaving."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.errors import BadBrief
from setsolver.rules import Assembly, assemble
from setsolver.rules.pixels import pixels_needed
from setsolver.rules.words import count, in_a_row
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Ruleset
from setsolver.usecases.effort import Effort
from setsolver.usecases.outcome import look_of
from setsolver.usecases.wishes import Wished, with_wishes
from setsolver.usecases.words import clashes_in_words

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice

__all__ = ["gaps"]

GOOD = 90
"""A frame still to be shot is taken to be worth this percentile of the gains of the frames that there are."""


def gaps(snapshot: Snapshot, brief: Brief, effort: Effort = Effort()) -> dict[str, Any]:
    """Return the document ``setsolver/gaps`` version 1.

    possible : True where the brief can be met. missing : where not, the fewest frames with which it could, by role,
    with the look that they should have. thin : by role, how many frames can play it, and what one more good frame in
    the look would gain. conflict, ruled_out : as in the outcome.

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
    assembly = _assembled(snapshot, brief)
    found = effort.solve(assembly.problem) if _enough(assembly) else None
    document["ruled_out"] = [out.model_dump(mode="json") for out in assembly.ruled_out]
    document["conflict"] = []
    if found is not None and found.best is not None:
        thin = _thin(assembly, found.best, effort)
        return {**document, "possible": True, "says": _rich(found.best), "missing": [], "thin": thin}
    if found is not None:
        document["conflict"] = [c.model_dump(mode="json") for c in clashes_in_words(assembly, found.conflict)]
    missing, proven = _missing(assembly, effort)
    says = _shortfall(brief, missing, proven=proven)
    return {**document, "possible": False, "says": says, "missing": missing, "thin": []}


def _assembled(snapshot: Snapshot, brief: Brief) -> Assembly:
    """Return the assembly of a brief even where the catalog holds fewer frames than its set.

    Rules that count frames (size, roles) are put back afterwards: a shortfall in them is the answer, not an error.
    """
    modest = brief.model_copy(update={"size": 1, "roles": _without_least(brief)})
    if not snapshot.frames:
        raise BadBrief(f"{snapshot.folder} holds no photograph yet; shoot first, then ask what is missing")
    assembly = assemble(snapshot, modest)
    counts = [brief.roles[name].count if name in brief.roles else (0, brief.size) for name in brief.role_names]
    problem = assembly.problem.replaced(
        size=brief.size, role_min=[least for least, _ in counts], role_max=[most for _, most in counts]
    )
    return replace(assembly, brief=brief, problem=problem)


def _without_least(brief: Brief) -> dict[str, Any]:
    return {name: role.model_copy(update={"count": (0, role.count[1])}) for name, role in brief.roles.items()}


def _enough(assembly: Assembly) -> bool:
    return len(np.unique(assembly.problem.frame)) >= assembly.problem.size


def _missing(assembly: Assembly, effort: Effort) -> tuple[list[dict[str, Any]], bool]:
    """Return the fewest frames to shoot, by role with the look, and whether fewer are proven to be too few."""
    wished = with_wishes(assembly.problem, _worth(assembly), effort.seed)
    least, proven = _least(wished)
    best = effort.solve(wished.capped(least)).best
    if best is None:
        return [], False
    roles = [int(role) for row, role in zip(best.chosen, best.roles, strict=True) if row >= wished.first]
    look = look_of(assembly, best.look)._asdict() if assembly.axes else {}
    names = assembly.brief.role_names
    return [
        {
            "role": names[role],
            "frames": roles.count(role),
            "look": look,
            "says": _shot(assembly.brief, names[role], roles, role),
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


def _worth(assembly: Assembly) -> float:
    gain = assembly.problem.gain
    return float(np.nanpercentile(gain, GOOD)) if np.isfinite(gain).any() else 0.0


def _thin(assembly: Assembly, best: Choice, effort: Effort) -> list[dict[str, Any]]:
    """Return by role how many frames can play it and what one more good one would gain, the thinnest first."""
    rows = []
    for role, name in enumerate(assembly.brief.role_names):
        able = np.unique(assembly.problem.frame[~np.isnan(assembly.problem.gain[:, role])])
        gained = _one_more(assembly, best, role, effort)
        says = (
            f"{count(len(able), 'frame')} can be {name}; one more good one in this look would gain {gained:.1f} points"
        )
        rows.append({"role": name, "frames": len(able), "points": gained, "says": says})
    return sorted(rows, key=lambda row: -row["points"])


def _one_more(assembly: Assembly, best: Choice, role: int, effort: Effort) -> float:
    """Return the points that a frame gains which plays the role as the better ones do, exactly in the set's look."""
    problem = assembly.problem
    able = problem.gain[:, role]
    worth = float(np.nanpercentile(able, GOOD)) if np.isfinite(able).any() else _worth(assembly)
    gain = np.full((1, len(problem.role_min)), np.nan)
    gain[0, role] = worth
    arrays = {
        **problem.to_arrays(),
        "frame": np.append(problem.frame, problem.frame.max() + 1),
        "gain": np.concatenate([problem.gain, gain]),
        "tone": np.concatenate([problem.tone, np.asarray(best.look).reshape(1, -1)]),
        "place": np.concatenate([problem.place, np.zeros((1, problem.place.shape[1]))]),
        "group": np.pad(problem.group, ((0, 0), (0, 1)), constant_values=-1),
    }
    better = effort.solve(type(problem).from_arrays(arrays)).best
    return max(0.0, better.score - best.score) if better else 0.0


def _shot(brief: Brief, name: str, roles: list[int], role: int) -> str:
    pixels = pixels_needed(brief.print_cm, brief.min_ppi)
    return (
        f"shoot {count(roles.count(role), f'{name} frame')}, sharp, {brief.aspect} with room to level, "
        f"at least {pixels} pixels along the long edge of the crop"
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
