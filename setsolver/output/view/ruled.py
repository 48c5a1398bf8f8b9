"""What rules took out before the search, and near-duplicates beside the frame that beat them."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.outcome import Outcome
from setsolver.output.view.shown import Shown, thumbnail
from setsolver.output.view.words import inert, name_of, points, rule_name

__all__ = ["Beaten", "Repeats", "RuledRow", "repeats", "ruled_rows"]

_WINNERS, _LOSERS = 16, 5
"""Most groups of near-duplicates, and most losers in one, that are shown as pictures; the others are counted."""


class RuledRow(NamedTuple):
    """A rule, how many frames it took out, its sentence, and some names."""

    name: str
    frames: int
    says: str
    examples: tuple[str, ...]


class Beaten(NamedTuple):
    """A near-duplicate that lost, with the difference in words."""

    name: str
    picture: Shown
    by: str


class Repeats(NamedTuple):
    """A chosen frame, by its number in the set, and the near-duplicates that it beat. more : not shown."""

    number: int
    name: str
    picture: Shown
    beaten: tuple[Beaten, ...]
    more: int


def ruled_rows(outcome: Outcome) -> tuple[RuledRow, ...]:
    """Return the rules that took frames out."""
    return tuple(
        RuledRow(rule_name(r.rule), r.frames, inert(r.says), tuple(name_of(p) for p in r.examples))
        for r in outcome.ruled_out
    )


def repeats(outcome: Outcome, long_side: int) -> tuple[tuple[Repeats, ...], int]:
    """Return groups of near-duplicates in the order of the best set, and how many groups are not shown."""
    groups: dict[str, list[Beaten]] = {}
    for covered in outcome.repeats:
        groups.setdefault(covered.beaten_by, []).append(
            Beaten(name_of(covered.path), _picture(covered.path, long_side), _by(covered.points))
        )
    numbers = {f.path: n for n, f in enumerate(outcome.sets[0].frames, 1)} if outcome.sets else {}
    order = sorted(groups, key=lambda path: numbers.get(path, len(numbers) + 1))
    shown = tuple(_group(path, groups[path], numbers.get(path, 0), long_side) for path in order[:_WINNERS])
    return shown, max(0, len(order) - _WINNERS)


def _group(path: str, beaten: list[Beaten], number: int, long_side: int) -> Repeats:
    first = tuple(beaten[:_LOSERS])
    return Repeats(number, name_of(path), _picture(path, long_side), first, len(beaten) - len(first))


def _picture(path: str, long_side: int) -> Shown:
    return thumbnail(path, long_side, f"The whole frame {name_of(path)}")


def _by(amount: float) -> str:
    if amount > 0.05:
        return f"{points(amount)} less"
    return (
        "as many points"
        if amount > -0.05
        else f"alone {points(-amount)} more; the set as a whole is worth less with it"
    )
