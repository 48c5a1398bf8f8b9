"""Alternates beside the best set: what stays, what comes and goes, and what each rule gains and loses."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.alternates import ALTERNATES
from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Outcome, SetFound, SetFrame
from setsolver.output.view.captions import caption_of
from setsolver.output.view.ledger import Ledger, by_rule, ledger_view
from setsolver.output.view.wall import Wall, wall
from setsolver.output.view.words import bound_in_words, inert, rule_name, signed

__all__ = ["Alternate", "Comparison", "alternates", "comparison"]


class Change(NamedTuple):
    """What a rule pays in an alternate beyond what it pays in the best set."""

    name: str
    points: float


class Called(NamedTuple):
    """A print by its number in its set and its caption."""

    number: int
    caption: str
    frame: SetFrame


class Alternate(NamedTuple):
    """One alternate. short : what it is, in a few words. says : what it is, truly.

    comes : its prints that the best set lacks; goes : the other way round. gains, loses : changes by rule, the largest
    first.
    """

    number: int
    short: str
    says: str
    proof: str
    score: float
    difference: float
    against: str
    wall: Wall
    kept: int
    comes: tuple[Called, ...]
    goes: tuple[Called, ...]
    gains: tuple[Change, ...]
    loses: tuple[Change, ...]
    ledger: Ledger


class Comparison(NamedTuple):
    """Points by rule and set. rows : (rule, points of each set, None where it has no such line)."""

    rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    scores: tuple[float, ...]


def alternates(brief: Brief, outcome: Outcome, shown_width: int) -> tuple[Alternate, ...]:
    """Return all sets after the first."""
    best, *others = outcome.sets
    return tuple(_alternate(brief, best, other, n, shown_width) for n, other in enumerate(others, 2))


def _alternate(brief: Brief, best: SetFound, other: SetFound, number: int, shown_width: int) -> Alternate:
    comes = _lacking(brief, other, best)
    changes = _changes(best, other)
    return Alternate(
        number=number,
        short=_short(other),
        says=inert(other.says),
        proof=bound_in_words(other, first=False),
        score=other.score,
        difference=other.score - best.score,
        against=_against(other.score - best.score),
        wall=wall(brief, other, shown_width),
        kept=len(other.frames) - len(comes),
        comes=comes,
        goes=_lacking(brief, best, other),
        gains=tuple(change for change in changes if change.points > 0),
        loses=tuple(change for change in changes if change.points < 0),
        ledger=ledger_view(other),
    )


def _against(difference: float) -> str:
    told = signed(difference)
    return "as many as set 1" if told == "0.0" else f"{told} against set 1"


def _short(other: SetFound) -> str:
    """Return in a few words what a set is, for somebody who knows no engine."""
    kind = ALTERNATES.get(other.kind)
    short = inert(other.says) if kind is None else kind.short
    return short[:1].upper() + short[1:]


def _lacking(brief: Brief, of: SetFound, against: SetFound) -> tuple[Called, ...]:
    paths = {frame.path for frame in against.frames}
    prints = enumerate(of.frames, 1)
    return tuple(Called(n, caption_of(brief, frame), frame) for n, frame in prints if frame.path not in paths)


def _sums(found: SetFound) -> dict[str, float]:
    return {rule: sum(line.points for line in lines) for rule, lines in by_rule(found).items()}


def _changes(best: SetFound, other: SetFound) -> list[Change]:
    before, after = _sums(best), _sums(other)
    rules = {**before, **after}
    changes = [Change(rule_name(rule), after.get(rule, 0.0) - before.get(rule, 0.0)) for rule in rules]
    return sorted((c for c in changes if abs(c.points) >= 0.05), key=lambda c: -abs(c.points))


def comparison(outcome: Outcome) -> Comparison:
    """Return the points of every rule in every set."""
    sums = [_sums(found) for found in outcome.sets]
    rules = {rule: None for one in sums for rule in one}
    rows = tuple((rule_name(rule), tuple(one.get(rule) for one in sums)) for rule in rules)
    return Comparison(rows, tuple(found.score for found in outcome.sets))
