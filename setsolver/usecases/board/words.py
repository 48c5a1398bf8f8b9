"""What a change did, in a sentence: who left, who came in, what that gained or lost, and by which rules."""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.output.view.words import inert, name_of, number, signed
from setsolver.rules.words import in_a_row
from setsolver.usecases.board.view import difference

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from setsolver.domain.outcome import Outcome, SetFound

__all__ = ["answered", "dropped", "told"]

_MOST_RULES, _MOST_NAMED = 2, 3
_EVEN = 0.05


def answered(before: Outcome | None, after: Outcome, *, same_weights: bool) -> str:
    """Return how the set answered a change of the brief or of what is known of a frame."""
    old, new = (None if before is None else before.best), after.best
    if new is None:
        why = "; ".join(inert(clash.says) for clash in after.conflict)
        return f"No set holds under these rules{': ' + why if why else ''}."
    if old is None:
        return f"There is a set: {number(new.score)} points."
    moved = _moved(old, new)
    if not same_weights:
        return f"{moved or 'The set stays as it is'}. Points before and after count by other weights."
    gained = new.score - old.score
    if abs(gained) < _EVEN:
        return f"{moved}, at no cost." if moved else "The set stays as it is."
    return f"{moved or 'The same frames'}: {signed(gained)} points{_by(old, new)}."


def dropped(gone: Sequence[str]) -> str:
    """Return which frames the brief named in vain; "" for none."""
    if not gone:
        return ""
    more = f" and {len(gone) - _MOST_NAMED} more" if len(gone) > _MOST_NAMED else ""
    verb, whom = ("is", "it") if len(gone) == 1 else ("are", "them")
    return f" {_names(gone[:_MOST_NAMED])}{more} {verb} gone; what was wished of {whom} is dropped."


def told(frame: str, verb: str) -> str:
    """Return what was asked of a frame, by its path."""
    return f"{name_of(frame)} {verb}."


def _moved(old: SetFound, new: SetFound) -> str:
    was, now = [f.path for f in old.frames], [f.path for f in new.frames]
    leave, enter = [p for p in was if p not in now], [p for p in now if p not in was]
    parts = []
    if leave:
        parts.append(f"{_names(leave)} {'leaves' if len(leave) == 1 else 'leave'}")
    if enter:
        parts.append(f"{_names(enter)} {'comes' if len(enter) == 1 else 'come'} in")
    if not parts and was != now:
        return "The same frames, hung in another order"
    return ", ".join(parts)


def _names(paths: Iterable[str]) -> str:
    return in_a_row([name_of(path) for path in paths])


def _by(old: SetFound, new: SetFound) -> str:
    parts = [f"{rule.lower()} {signed(by)}" for rule, by in difference(old, new)[:_MOST_RULES]]
    return f" ({', '.join(parts)})" if parts else ""
