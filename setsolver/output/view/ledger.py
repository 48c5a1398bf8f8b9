"""The ledger by rule, with bars that start where the line before ended and so arrive at the score."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.outcome import LedgerLine, SetFound
from setsolver.output.view.words import inert, name_of, rule_name, signed

__all__ = ["Bar", "Ledger", "Line", "RuleRow", "by_rule", "ledger_view", "lines_of"]


class Bar(NamedTuple):
    """A bar in per cent of the ledger's span: from the running total before to the one after."""

    left: float
    width: float
    cost: bool


class Line(NamedTuple):
    """One line of the ledger. frames : "1 kiln.jpg" and so on, by the numbers of the set."""

    points: float
    frames: tuple[str, ...]
    says: str


class RuleRow(NamedTuple):
    """A rule's lines, their sum, and what they say in short: one sentence, or one a line that is not of one frame."""

    rule: str
    name: str
    points: float
    says: tuple[str, ...]
    lines: tuple[Line, ...]
    bar: Bar


class Ledger(NamedTuple):
    """All rules, the score they add up to, and its bar. zero : where 0 points lie, in per cent."""

    rows: tuple[RuleRow, ...]
    score: float
    bar: Bar
    zero: float


def by_rule(found: SetFound) -> dict[str, list[LedgerLine]]:
    """Return the lines of each rule, rules in the order of the ledger."""
    rules: dict[str, list[LedgerLine]] = {}
    for line in found.ledger:
        rules.setdefault(line.rule, []).append(line)
    return rules


def ledger_view(found: SetFound) -> Ledger:
    """Return the ledger of a set as the sheet shows it."""
    numbers = {frame.path: number for number, frame in enumerate(found.frames, 1)}
    sums = {rule: sum(line.points for line in lines) for rule, lines in by_rule(found).items()}
    stops = [0.0]
    for value in sums.values():
        stops.append(stops[-1] + value)
    low, span = min(stops), max(max(stops) - min(stops), 1e-9)
    rows = tuple(
        RuleRow(
            rule, rule_name(rule), sums[rule], _short(lines), _lines(lines, numbers), _bar(start, sums[rule], low, span)
        )
        for (rule, lines), start in zip(by_rule(found).items(), stops, strict=False)
    )
    return Ledger(rows, found.score, _bar(0.0, found.score, low, span), -low / span * 100)


def _bar(start: float, value: float, low: float, span: float) -> Bar:
    left = min(start, start + value)
    return Bar((left - low) / span * 100, abs(value) / span * 100, value < 0)


def _short(lines: list[LedgerLine]) -> tuple[str, ...]:
    alone = {line.frames for line in lines if len(line.frames) == 1}
    if len(lines) == 1 or len(alone) < len(lines):
        return tuple(inert(line.says) for line in lines)
    least, most = (signed(paid) for paid in (min(line.points for line in lines), max(line.points for line in lines)))
    return (f"{len(lines)} frames, {least if least == most else f'{least} to {most}'} each",)


def _lines(lines: list[LedgerLine], numbers: dict[str, int]) -> tuple[Line, ...]:
    return tuple(Line(line.points, tuple(_label(p, numbers) for p in line.frames), inert(line.says)) for line in lines)


def _label(path: str, numbers: dict[str, int]) -> str:
    return f"{numbers[path]} {name_of(path)}" if path in numbers else name_of(path)


def lines_of(found: SetFound, path: str) -> list[tuple[str, LedgerLine]]:
    """Return the lines that speak of one frame alone, each with its rule's name."""
    return [(rule_name(line.rule), line) for line in found.ledger if line.frames == (path,)]
