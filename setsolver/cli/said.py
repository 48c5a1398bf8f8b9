"""Words and tables that several commands print."""

from __future__ import annotations

import json
from io import StringIO
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from setsolver.domain.outcome import Outcome, SetFound

__all__ = ["echo_json", "echo_outcome", "echo_set", "named", "points", "printable", "proof_in_words", "table"]


_ENDLESS = 100_000
"""Columns of a table that is never folded: what is too wide, the terminal folds."""


def printable(path: str) -> str:
    """Return a name that a terminal may show: control characters and broken bytes as escapes."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in path)


def echo_json(document: dict[str, Any]) -> None:
    """Print a document on stdout, as ASCII so that names with odd bytes survive any terminal."""
    click.echo(json.dumps(document, indent=1, ensure_ascii=True, allow_nan=False))


def points(value: float) -> str:
    """Return points with sign and two decimals."""
    return f"{value:+.2f}"


def named(rule: str) -> str:
    """Return a rule's name as words: "near_duplicates" reads "near duplicates"."""
    return rule.replace("_", " ")


def table(rows: Iterable[Sequence[str]], *, right: tuple[int, ...] = (), indent: str = "  ") -> str:
    """Return rows as aligned columns, two spaces apart; columns named in ``right`` are right-aligned.

    Aligned as a terminal shows them: a letter of the far East takes two places.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    grid, out = Table.grid(padding=(0, 2, 0, 0)), StringIO()
    for number, row in enumerate(rows):
        for at in range(0 if number else len(row)):
            grid.add_column(justify="right" if at in right else "left", no_wrap=True)
        grid.add_row(*(Text(cell, end="") for cell in row))
    Console(file=out, width=_ENDLESS, color_system=None, legacy_windows=False).print(grid)
    return "\n".join(f"{indent}{line}".rstrip() for line in out.getvalue().splitlines())


def proof_in_words(found: SetFound) -> str:
    """Return bound and gap as a sentence."""
    if found.proven and found.kind == "best":
        return "proven: no other set under this brief scores more"
    if found.proven:
        return "proven: no other such set scores more"
    gap = found.bound - found.score
    return f"not proven: a better set might score up to {gap:.2f} points more ({found.bound:.2f})"


def echo_set(number: int, found: SetFound) -> None:
    """Print one set: its score, proof, frames and points by rule."""
    click.echo(f"\nSet {number}: {found.says}\n  {found.score:.2f} points; {proof_in_words(found)}")
    rows = [
        (
            f.plays,
            printable(f.path),
            f"{f.ppi:.0f} ppi",
            f"level {f.level_degrees:+.1f}°" if f.level_degrees else "",
            "a tighter crop" if f.rendition == "tighter" else "",
            "lead" if f.lead else "",
        )
        for f in found.frames
    ]
    click.echo(table(rows, right=(2,)))
    totals: dict[str, float] = {}
    for line in found.ledger:
        totals[line.rule] = totals.get(line.rule, 0.0) + line.points
    click.echo("  " + ", ".join(f"{named(rule)} {points(value)}" for rule, value in totals.items()))
    if found.layout is not None:
        click.echo(f"  plan: {found.layout.says}")


def _clash_heading(outcome: Outcome) -> str:
    if any(clash.rule == "include" for clash in outcome.conflict):
        return "These wishes and the rules cannot hold together:"
    if any(clash.way_out for clash in outcome.conflict):
        return "These cannot hold together; each way out alone makes a set possible:"
    if outcome.near:
        return "These cannot hold together; the nearest brief with a set comes after them:"
    return (
        "These cannot hold together, and no small change of one rule alone is enough "
        "(`setsolver gaps` says what to shoot):"
    )


def _echo_prices(outcome: Outcome) -> None:
    """Print near misses first, then the rules that cost something, and the others as one number."""
    for miss in outcome.near:
        click.echo(f"near miss: {miss.says}")
    costly = [price for price in outcome.prices if price.points or not price.proven]
    for price in costly:
        click.echo(f"price: {price.says}")
    free = len(outcome.prices) - len(costly)
    if free:
        others = "any one rule" if free == len(outcome.prices) else f"any one of the other {free} rules"
        click.echo(f"price: without {others} the best set would stay the same (proven)")


def echo_outcome(outcome: Outcome) -> None:
    """Print an outcome for people: sets, or why there is none and the ways out."""
    click.echo(
        f"{outcome.brief['name']} on {printable(outcome.catalog)}: {outcome.catalog_frames} frames, "
        f"{outcome.considered} considered in {outcome.renditions} renditions, {outcome.seconds:.1f} s: {outcome.status}"
    )
    for out in outcome.ruled_out:
        click.echo(f"  ruled out by {named(out.rule)}: {out.in_full}")
    for number, found in enumerate(outcome.sets, 1):
        echo_set(number, found)
    if outcome.status == "none":
        click.echo(f"\nNo set under these rules. {_clash_heading(outcome)}")
        for clash in outcome.conflict:
            click.echo(f"  {clash.says}" + (f"; way out: {clash.way_out}" if clash.way_out else ""))
    _echo_prices(outcome)
    if outcome.status == "undecided":
        click.echo("\nNo set was found in the time given, and none was ruled out; give it more with --time-limit.")
    for note in outcome.notes:
        click.echo(f"note: {note}")
