"""Why a frame is in a set, or what the best set with it would cost."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from setsolver.errors import NoSuchFrame
from setsolver.rules import assemble
from setsolver.rules.words import nearest
from setsolver.usecases.effort import Effort
from setsolver.usecases.outcome import set_found
from setsolver.usecases.solve import solve
from setsolver.usecases.words import clashes_in_words

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.outcome import SetFound
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Solution
    from setsolver.rules import Assembly

__all__ = ["why"]


def why(
    snapshot: Snapshot,
    brief: Brief,
    found: SetFound,
    path: str,
    effort: Effort = Effort(),
) -> dict[str, Any]:
    """Return the document ``setsolver/why`` version 1 for one frame and one set.

    For a frame in the set: the ledger lines that name it, and the best set without it. For any other: the best set with
    it, what that costs, who leaves for it; or the rule that took it out; or why no set with it exists.

    Raises
    ------
    NoSuchFrame
        Where the catalog has no such frame.
    """
    frame = snapshot.by_path(path)
    if frame is None:
        near = nearest(path, [f.path for f in snapshot.frames])
        raise NoSuchFrame(f"{path} is not in the catalog {snapshot.folder}{near}")
    assembly = assemble(snapshot, brief)
    inside = path in {f.path for f in found.frames}
    document: dict[str, Any] = {
        "format": "setsolver/why",
        "version": 1,
        "frame": path,
        "in_set": inside,
        "score": found.score,
        "lines": [line.model_dump(mode="json") for line in found.ledger if path in line.frames],
    }
    if not inside and (frame.id in assembly.reasons or frame.id not in assembly.problem.frame):
        reason = assembly.reasons.get(frame.id, "no rendition of it can play a role of this brief")
        return {**document, "says": f"It was ruled out before the search: {reason}", "points": None, "instead": None}
    change = "exclude" if inside else "include"
    others = getattr(assembly.problem, change)
    assembly = replace(assembly, problem=assembly.problem.replaced(**{change: [*others.tolist(), frame.id]}))
    other = solve(assembly.problem, effort)
    return {**document, **_answer(assembly, found, other, inside=inside)}


def _answer(assembly: Assembly, found: SetFound, other: Solution, *, inside: bool) -> dict[str, Any]:
    way = "without" if inside else "with"
    if other.best is None:
        if other.status == "infeasible":
            clash = [c.model_dump() for c in clashes_in_words(assembly, other.conflict)]
            says = f"No set {way} it exists under this brief: " + "; ".join(c["says"] for c in clash)
            return {"says": says, "points": None, "instead": None, "conflict": clash}
        return {"says": f"No set {way} it was found in the time given.", "points": None, "instead": None}
    instead = set_found(assembly, other.best)
    points = found.score - instead.score
    paths, new = [f.path for f in found.frames], [f.path for f in instead.frames]
    return {
        "says": _sentence(points, way, instead, exact=instead.proven),
        "points": points,
        "proven": instead.proven,
        "leave": [p for p in paths if p not in new],
        "enter": [p for p in new if p not in paths],
        "instead": instead.model_dump(mode="json"),
    }


def _sentence(points: float, way: str, instead: SetFound, *, exact: bool) -> str:
    proof = "proven" if exact else f"at best {instead.bound:.2f}, not proven"
    if points >= 0:
        return f"The best set {way} it scores {instead.score:.2f}, {points:.2f} points less than this set ({proof})."
    return f"The best set {way} it scores {instead.score:.2f}, {-points:.2f} points more than this set ({proof})."
