"""Why a frame is in a set, or what the best set with it would cost."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.errors import BadBrief, NoSuchFrame
from setsolver.rules.wishes import frames_named
from setsolver.rules.words import nearest
from setsolver.usecases.compare import points_by_rule
from setsolver.usecases.outcome import set_found
from setsolver.usecases.words import clashes_in_words

if TYPE_CHECKING:
    from setsolver.domain.frame import Frame
    from setsolver.domain.outcome import SetFound
    from setsolver.rules import Assembly
    from setsolver.usecases.session import Session

__all__ = ["why_in"]

SMALL = 0.005
"""Points below which a term's change would be said as 0.00."""


def why_in(session: Session, found: SetFound, path: str) -> dict[str, Any]:
    """Return the document ``setsolver/why`` version 1 for one frame and one set of a session.

    For a frame in the set: the ledger lines that name it, and the best set without it. For any other: what the brief
    would answer were it wished in: the best set with it and its lines there, what that costs and which terms cost it,
    who leaves for it, and which rules the wish waives; or why no set with it exists.

    Parameters
    ----------
    found : a set that the session answered, or one made before under its brief. It is graded as its frames are seen
    now; what it scored when it was made stands under ``made`` where that differs.

    Raises
    ------
    NoSuchFrame
        Where the catalog has no such frame.
    """
    snapshot = session.snapshot
    frame = snapshot.by_path(path)
    if frame is None:
        near = nearest(path, [f.path for f in snapshot.frames])
        raise NoSuchFrame(f"{path} is not in the catalog {snapshot.folder}{near}")
    now = _graded_anew(session, found)
    answer = _why(session, now or found, frame)
    if now is not None and abs(now.score - found.score) < SMALL:
        return answer
    then = f"scored {found.score:.2f} when it was made"
    note = (
        f"This set {then}, and its frames no longer make a set under the brief: its points here are those of then."
        if now is None
        else f"This set {then}; as its frames are seen now, it scores {now.score:.2f}."
    )
    return answer | {"says": f"{answer['says']} {note}", "made": found.score}


def _why(session: Session, found: SetFound, frame: Frame) -> dict[str, Any]:
    snapshot, brief, path = session.snapshot, session.brief, frame.path
    inside = path in {f.path for f in found.frames}
    document: dict[str, Any] = {
        "format": "setsolver/why",
        "version": 1,
        "frame": path,
        "in_set": inside,
        "score": found.score,
        "lines": [line.model_dump(mode="json") for line in found.ledger if path in line.frames],
    }
    if inside:
        return document | _answer(session, without(session.assembly, frame.id), found, inside=True)
    if frame.id in frames_named("exclude", brief.frames.exclude, snapshot):
        return document | _nothing("It was ruled out before the search: it is left out at your wish (exclude)")
    try:
        assembly = session.assembly_of(brief.wishing(path))
    except BadBrief as error:  # the same that the brief would say with this wish
        clash = [clash.model_dump() for clash in getattr(error, "clashes", ())]
        return document | _nothing(f"No set with it exists under this brief: {error}", conflict=clash)
    answer = _answer(session, assembly, found, inside=False)
    instead = answer["instead"]
    lines = [line for line in instead["ledger"] if path in line["frames"]] if instead else []
    return document | answer | {"lines": lines}


def _graded_anew(session: Session, found: SetFound) -> SetFound | None:
    """Return the best set of the same frames under the session's brief and measures.

    Measures, corrections and weights may have changed since it was made. None where there is none: a frame is gone or
    wished out, or, as they are seen now, the rules forbid these frames together.
    """
    frames = [session.snapshot.by_path(one.path) for one in found.frames]
    known = [frame.id for frame in frames if frame is not None]
    assembly = session.assembly
    out = set(assembly.problem.exclude.tolist())
    if len(known) < len(frames) or len(known) != session.brief.size or out.intersection(known):
        return None
    alone = replace(assembly, problem=assembly.problem.replaced(include=sorted(known)))
    best = session.solution_of(alone).best
    return None if best is None else set_found(alone, best)


def without(assembly: Assembly, frame: int) -> Assembly:
    """Return an assembly in which one frame is out, even where the brief wishes it in."""
    problem = assembly.problem
    include, exclude = np.setdiff1d(problem.include, [frame]), np.append(problem.exclude, frame)
    return replace(assembly, problem=problem.replaced(include=include, exclude=exclude))


def _nothing(says: str, **more: Any) -> dict[str, Any]:
    return {"says": says, "points": None, "instead": None, **more}


def _answer(session: Session, assembly: Assembly, found: SetFound, *, inside: bool) -> dict[str, Any]:
    way, other = "without" if inside else "with", session.solution_of(assembly)
    if other.best is None:
        if other.status == "infeasible":
            clash = [c.model_dump() for c in clashes_in_words(assembly, other.conflict)]
            says = f"No set {way} it exists under this brief: " + "; ".join(c["says"] for c in clash)
            return _nothing(says, conflict=clash)
        return _nothing(f"No set {way} it was found in the time given.")
    instead = set_found(assembly, other.best)
    points = found.score - instead.score
    terms = _difference(found, instead)
    paths, new = [f.path for f in found.frames], [f.path for f in instead.frames]
    return {
        "says": " ".join([_sentence(points, way, instead, exact=instead.proven), *_due(terms), *_waived(assembly)]),
        "points": points,
        "terms": terms,
        "proven": instead.proven,
        "leave": [p for p in paths if p not in new],
        "enter": [p for p in new if p not in paths],
        "instead": instead.model_dump(mode="json"),
    }


def _difference(found: SetFound, instead: SetFound) -> dict[str, float]:
    """Return by term what the other set loses (below 0) or gains, in points, the greatest loss first."""
    before, after = points_by_rule(found), points_by_rule(instead)
    changes = {rule: after.get(rule, 0.0) - before.get(rule, 0.0) for rule in {**before, **after}}
    return dict(sorted(changes.items(), key=lambda change: change[1]))


def _due(terms: dict[str, float]) -> list[str]:
    """Return which terms cost the points, and which give some back."""
    lost = [_told(rule, -points, "loses") for rule, points in terms.items() if points <= -SMALL]
    gained = [_told(rule, points, "gains") for rule, points in reversed(terms.items()) if points >= SMALL]
    if not lost + gained:
        return []
    return [f"By term: {', '.join(lost + gained)}."]


def _told(rule: str, points: float, verb: str) -> str:
    return f"{rule.replace('_', ' ')} {verb} {points:.2f}"


def _waived(assembly: Assembly) -> list[str]:
    return [f"{note}." for note in assembly.notes]


def _sentence(points: float, way: str, instead: SetFound, *, exact: bool) -> str:
    proof = "proven" if exact else f"at best {instead.bound:.2f}, not proven"
    if points >= 0:
        return f"The best set {way} it scores {instead.score:.2f}, {points:.2f} points less than this set ({proof})."
    return f"The best set {way} it scores {instead.score:.2f}, {-points:.2f} points more than this set ({proof})."
