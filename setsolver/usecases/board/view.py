"""The board as a document: the set on its wall in centimetres, what each print earns, weights, rules and wishes.

Names of files and words of briefs come out inert (no control or steering characters); a page shows them as text.
"""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.crops.canvas import crop_height
from setsolver.output.view.words import bound_in_words, correction_in_words, inert, moment, name_of, rule_name
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.board.rules import rules_view
from setsolver.usecases.board.settling import looking_words

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Mapping
    from typing import TypeAlias

    from setsolver.domain.brief import Brief
    from setsolver.domain.frame import Frame
    from setsolver.domain.outcome import LedgerLine, SetFound, SetFrame
    from setsolver.rules import Assembly
    from setsolver.usecases.board.state import BoardState

    ByPath: TypeAlias = Mapping[str, Frame]
    Shows: TypeAlias = Callable[[SetFrame, Frame], str]
    """Keeps how a frame is cut and toned for whoever asks for its picture, and returns the picture's key."""

__all__ = ["account", "board_view", "difference", "set_view", "weights_view"]

_EVEN = 0.05
"""Points below which nothing is said: they would read 0.0."""


def board_view(state: BoardState) -> dict[str, Any]:
    """Return the document ``setsolver/board`` version 1: all that a page shows, but for the tray."""
    session, outcome, kept = state.session, state.outcome, state.kept
    best, brief = outcome.best, session.brief
    return {
        "format": "setsolver/board",
        "version": 1,
        "revision": state.revision,
        "catalog": name_of(str(Path(session.snapshot.folder).resolve())),
        "frames": len(session.snapshot.frames),
        "list": state.rows.number(session.snapshot),
        "refused": len(session.snapshot.refused),
        "brief": {"name": inert(brief.name), "title": inert(brief.title or brief.name), "size": brief.size},
        "status": outcome.status,
        "said": state.said,
        "looking": looking_words(state),
        "set": None if best is None else set_view(best, state.by_path, state.pictures.show, brief.crops),
        "clash": [{"says": inert(c.says), "way_out": inert(c.way_out)} for c in outcome.conflict],
        "notes": [inert(note) for note in outcome.notes],
        "weights": weights_view(brief, state.assembly(), best, kept.brief),
        "rules": rules_view(brief),
        "slots": [{"name": inert(slot.name), "role": inert(slot.role)} for slot in brief.slots],
        "pinned": state.keys(brief.frames.include),
        "seated": {key_of(path): inert(slot) for path, slot in brief.frames.slots.items()},
        "barred": state.keys(brief.frames.exclude),
        "versions": [{"version": one.key, "name": inert(one.name)} for one in state.versions.all()],
        "undo": session.undoable,
        "redo": session.redoable,
        "kept": inert(str(kept.brief_file)),
        "choices": inert(str(kept.choices.file)),
        "edited": kept.edited,
    }


def set_view(found: SetFound, frames: ByPath, shows: Shows, by_hand: Container[str] = ()) -> dict[str, Any]:
    """Return a set as it hangs. frames : of the catalog, by path. by_hand : paths of those that the user framed."""
    plan = found.layout
    return {
        "score": found.score,
        "bound": found.bound,
        "proven": found.proven,
        "kind": found.kind,
        "says": inert(found.says),
        "proof": bound_in_words(found, first=found.kind == "best"),
        "plan": None if plan is None else _plan_view(plan),
        "prints": [
            {**_print_view(at, frame, found, frames, shows), "by_hand": frame.path in by_hand}
            for at, frame in enumerate(found.frames, 1)
        ],
        "account": account(found.ledger),
    }


def _plan_view(plan: Any) -> dict[str, Any]:
    wall = plan.wall
    return {
        "width": plan.width_cm,
        "height": plan.height_cm,
        "border": plan.border_cm,
        "moulding": 0.0 if wall is None else wall.frame_cm,
        "wall": None if wall is None or plan.left_cm is None or plan.top_cm is None else _wall_view(plan, wall),
        "pages": [_box(page) for page in plan.pages],
        "says": inert(plan.says),
        "cautions": list(plan.cautions),
    }


def _wall_view(plan: Any, wall: Any) -> dict[str, Any]:
    """Return the wall about the plan, from the plan's own top left corner in centimetres; y grows downwards."""
    return {
        "box": [-plan.left_cm, plan.top_cm - wall.height_cm, wall.width_cm, wall.height_cm],
        "clear": [
            {
                "box": [
                    part.left_cm - plan.left_cm,
                    plan.top_cm - part.bottom_cm - part.height_cm,
                    part.width_cm,
                    part.height_cm,
                ],
                "what": inert(part.what) or "kept clear",
            }
            for part in wall.clear
        ],
        "centre": None if plan.centre_cm is None else plan.top_cm - plan.centre_cm,
    }


def _box(place: Any) -> list[float]:
    return [place.x_cm, place.y_cm, place.width_cm, place.height_cm]


def _print_view(place: int, frame: SetFrame, found: SetFound, frames: ByPath, shows: Shows) -> dict[str, Any]:
    own = [line for line in found.ledger if line.frames == (frame.path,)]
    of_catalog = frames[frame.path]
    return {
        "place": place,
        "frame": key_of(frame.path),
        "name": name_of(frame.path),
        "path": inert(frame.path),
        "plays": inert(frame.plays),
        "box": _box(frame.position),
        "picture": shows(frame, of_catalog),
        "slot": inert(frame.slot),
        "crop": list(frame.crop),
        "level": frame.level_degrees,
        "share": _share(frame),
        "ppi": frame.ppi,
        "print_cm": frame.print_cm,
        "aspect": frame.aspect,
        "tone": correction_in_words(frame.correction),
        "taken": moment(frame.time),
        "earns": sum(line.points for line in own),
        "lines": [_line(line) for line in own],
        "stars": of_catalog.given_stars,
        "said": of_catalog.said,
        "turn": of_catalog.turn,
        "lead": frame.lead,
    }


def _share(frame: SetFrame) -> float:
    """Return the crop's sides against those of the largest one of its aspect and level."""
    ratio = frame.crop[2] * frame.width / (frame.crop[3] * frame.height)
    whole = crop_height(ratio, np.array([frame.level_degrees]), np.array([frame.width / frame.height]))
    return min(1.0, float(frame.crop[3] / whole[0]))


def _line(line: LedgerLine) -> dict[str, Any]:
    return {"rule": rule_name(line.rule), "points": line.points, "says": inert(line.says)}


def account(ledger: tuple[LedgerLine, ...]) -> dict[str, float]:
    """Return the points of a set by rule, as a person reads its name; they add up to the score."""
    sums: defaultdict[str, float] = defaultdict(float)
    for line in ledger:
        sums[rule_name(line.rule)] += line.points
    return dict(sums)


def difference(before: SetFound, after: SetFound) -> list[tuple[str, float]]:
    """Return by how many points each rule pays another set more, what differs most first, nothing that is even."""
    old, new = account(before.ledger), account(after.ledger)
    moved = [(rule, new.get(rule, 0.0) - old.get(rule, 0.0)) for rule in {**old, **new}]
    return sorted(((rule, by) for rule, by in moved if abs(by) >= _EVEN), key=lambda part: -abs(part[1]))


def weights_view(brief: Brief, assembly: Assembly | None, found: SetFound | None, owned: Brief) -> list[dict[str, Any]]:
    """Return every weight with what it is set to, and what its terms earn or cost this set; None without a set.

    owned : the brief as its owner wrote it, whose weights tell the scale of each.
    """
    usual = owned.weights.model_dump()
    names = defaultdict[str, list[str]](list)
    for term in () if assembly is None else assembly.terms:
        names[term.key].append(rule_name(term.name))
    earned = {} if found is None else account(found.ledger)
    return [
        {
            "term": inert(key),
            "called": rule_name(key),
            "points": value,
            "usual": usual.get(key, 0.0),
            "now": None if found is None else sum(earned.get(name, 0.0) for name in names[f"weights.{key}"]),
        }
        for key, value in brief.weights.model_dump().items()
    ]
