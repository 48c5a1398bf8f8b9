"""What corrections changed: of the frames that were corrected, and of all others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from setsolver.domain.frame import Frame
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.words import count

__all__ = ["changes_in_words"]

_MOVED = 0.05
"""Stars by which an appeal must move to be worth a word."""
_SHOWN = 5
"""Other frames that are named; the rest are counted."""


def changes_in_words(before: Snapshot, after: Snapshot, corrected: Iterable[str]) -> list[str]:
    """Return a line for each corrected frame, what changed in it, and lines on what that changed in others."""
    was, own = {frame.path: frame for frame in before.frames}, set(corrected)
    lines = []
    for frame in (frame for frame in after.frames if frame.path in own):
        said = list(_changes(was[frame.path], frame)) if frame.path in was else ["measured"]
        lines.append(f"{frame.path}: {', '.join(said) or 'as it was'}")
    told = [frame for frame in after.frames if frame.path not in own and frame.path in was]
    told.sort(key=lambda frame: -abs(_appeal(frame) - _appeal(was[frame.path])))
    others = {frame.path: said for frame in told if (said := list(_changes(was[frame.path], frame)))}
    if not others:
        return [*lines, "no other frame changed"]
    lines.append(f"{count(len(others), 'other frame')} changed with that:")
    lines += [f"  {path}: {', '.join(said)}" for path, said in list(others.items())[:_SHOWN]]
    return [*lines, f"  and {len(others) - _SHOWN} more"] if len(others) > _SHOWN else lines


def _changes(old: Frame, new: Frame) -> Iterator[str]:
    if (_scale(old), old.said) != (_scale(new), new.said):
        yield f"scale {_scale(old)} -> {_scale(new)}{' (said)' if new.said else ''}"
    if old.turn != new.turn:
        yield _turn(old.turn, new.turn)
    if old.given_stars != new.given_stars:
        yield "no stars" if new.given_stars is None else f"stars {new.given_stars:g}"
    if abs(_appeal(old) - _appeal(new)) >= _MOVED:
        yield f"appeal {_appeal(old):.1f} -> {_appeal(new):.1f}"
    for name in ("kind", "moment", "scene"):
        one, other = getattr(old, name), getattr(new, name)
        if one != other:
            yield f"{name} {one} -> {other}"


def _turn(old: int | None, new: int | None) -> str:
    if new:
        return f"turned by {new} degrees"
    right = "right as it lies" if new == 0 else "how it lies is as measured"
    return f"no more turned, {right}" if old else right


def _appeal(frame: Frame) -> float:
    """Return the appeal, 1 to 5; 0 where it is left for later."""
    return 0.0 if frame.measures.appeal is None else frame.measures.appeal.value


def _scale(frame: Frame) -> str:
    return frame.odds.best if frame.odds.sure >= 0.5 else "unsure"
