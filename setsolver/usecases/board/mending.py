"""Ways out of a rule that contradicts another one of its brief, such as five prints of which three may be played."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.errors import BadBrief
from setsolver.usecases.board.rules import changed_keys, counts_of, said_of
from setsolver.usecases.changing import checked_brief

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["mendings"]

_FARTHEST = 60
"""How far another count is moved in search of a brief that holds."""


def mendings(brief: Brief, key: str, value: float, frames: int) -> list[dict[str, Any]]:
    """Return for a count that contradicts others by which other count, moved least, it would hold.

    Each has ``besides``, as an act takes it, and ``says``. Empty where it holds already, or no single count helps.
    frames : of the catalog, more than which no set has.

    Raises
    ------
    BadInput
        Where there is no such rule to change here.
    """
    rule, _ = changed_keys(brief, key, value)
    counts = counts_of(brief)
    if key not in counts or _holds(brief, frames, key, value, {}):
        return []
    found = []
    for other, (called, now) in counts.items():
        if other == key:
            continue
        nearest = next((moved for moved in _outwards(now) if _holds(brief, frames, key, value, {other: moved})), None)
        if nearest is not None:
            says = f"{rule['called']} {said_of(rule, value)}, with {called.replace(', ', ' ')} {nearest}"
            found.append((abs(nearest - now), {"says": says, "besides": {other: nearest}}))
    return [way for _, way in sorted(found, key=lambda one: one[0])]


def _outwards(now: int) -> list[int]:
    """Return the counts about one, the nearest first."""
    return [moved for by in range(1, _FARTHEST + 1) for moved in (now + by, now - by) if moved >= 0]


def _holds(brief: Brief, frames: int, key: str, value: float, besides: dict[str, float]) -> bool:
    try:
        return checked_brief(brief, changed_keys(brief, key, value, besides)[1]).size <= frames
    except BadBrief:
        return False
