"""The board as a document: the set on its wall in centimetres, what each print earns, the weights, and every frame.

Names of files and words of briefs come out inert (no control or steering characters); a page shows them as text.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from typing import TYPE_CHECKING, Any

from setsolver.domain.measures import SCALES
from setsolver.output.view.words import bound_in_words, correction_in_words, inert, moment, name_of, rule_name

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeAlias

    from setsolver.domain.brief import Brief
    from setsolver.domain.frame import Frame
    from setsolver.domain.outcome import LedgerLine, SetFound, SetFrame
    from setsolver.rules import Assembly

    Shows: TypeAlias = Callable[[SetFrame], str]
    """Keeps how a frame is cut and toned for whoever asks for its picture, and returns the picture's key."""

__all__ = ["account", "difference", "frame_row", "key_of", "set_view", "weights_view"]

_EVEN = 0.05
"""Points below which nothing is said: they would read 0.0."""


def key_of(path: str) -> str:
    """Return the key by which a page names a frame: 16 digits that say nothing of the path."""
    return hashlib.sha256(path.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def set_view(found: SetFound, frames: dict[str, Frame], shows: Shows) -> dict[str, Any]:
    """Return a set as it hangs. frames : of the catalog, by path."""
    plan = found.layout
    return {
        "score": found.score,
        "bound": found.bound,
        "proven": found.proven,
        "kind": found.kind,
        "says": inert(found.says),
        "proof": bound_in_words(found, first=found.kind == "best"),
        "plan": None if plan is None else _plan_view(plan),
        "prints": [_print_view(at, frame, found, frames, shows) for at, frame in enumerate(found.frames, 1)],
        "account": account(found.ledger),
    }


def _plan_view(plan: Any) -> dict[str, Any]:
    wall = plan.wall
    return {
        "width": plan.width_cm,
        "height": plan.height_cm,
        "border": plan.border_cm,
        "moulding": 0.0 if wall is None else wall.frame_cm,
        "pages": [_box(page) for page in plan.pages],
        "says": inert(plan.says),
        "cautions": list(plan.cautions),
    }


def _box(place: Any) -> list[float]:
    return [place.x_cm, place.y_cm, place.width_cm, place.height_cm]


def _print_view(place: int, frame: SetFrame, found: SetFound, frames: dict[str, Frame], shows: Shows) -> dict[str, Any]:
    own = [line for line in found.ledger if line.frames == (frame.path,)]
    of_catalog = frames[frame.path]
    return {
        "place": place,
        "frame": key_of(frame.path),
        "name": name_of(frame.path),
        "path": inert(frame.path),
        "plays": inert(frame.plays),
        "box": _box(frame.position),
        "picture": shows(frame),
        "crop": list(frame.crop),
        "level": frame.level_degrees,
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


def weights_view(brief: Brief, assembly: Assembly | None, found: SetFound | None) -> list[dict[str, Any]]:
    """Return every weight with what it is set to, and what its terms earn or cost this set; None without a set."""
    names = defaultdict[str, list[str]](list)
    for term in () if assembly is None else assembly.terms:
        names[term.key].append(rule_name(term.name))
    earned = {} if found is None else account(found.ledger)
    return [
        {
            "term": inert(key),
            "called": rule_name(key),
            "points": value,
            "now": None if found is None else sum(earned.get(name, 0.0) for name in names[f"weights.{key}"]),
        }
        for key, value in brief.weights.model_dump().items()
    ]


def frame_row(frame: Frame) -> dict[str, Any]:
    """Return one frame of the tray."""
    odds, appeal = frame.odds, frame.measures.appeal
    best = max(range(len(SCALES)), key=lambda at: odds[at])
    return {
        "frame": key_of(frame.path),
        "name": name_of(frame.path),
        "folder": inert(frame.path.rpartition("/")[0]),
        "words": inert(" ".join((frame.path, *frame.shot.keywords))).lower(),
        "shows": SCALES[best],
        "sure": round(float(odds[best]), 2),
        "said": frame.said,
        "appeal": None if appeal is None else round(float(appeal.value), 2),
        "time": frame.shot.instant,
        "taken": moment(frame.shot.time.isoformat() if frame.shot.time else None),
        "stars": frame.given_stars,
        "turn": frame.turn or 0,
        "kind": frame.kind,
        "scene": frame.scene,
        "ratio": round(frame.aspect, 4),
    }
