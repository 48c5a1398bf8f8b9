"""``setsolver compare``: sets side by side."""

from __future__ import annotations

from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, points, printable, table

__all__ = ["command"]


@click.command("compare")
@click.argument("sets", nargs=-1, required=True, metavar="SET SET...")
@options.as_json
def command(sets: tuple[str, ...], as_json: bool) -> int:
    """Lay sets side by side: frames, points by rule, looks, differences.

    A SET is a folder that `suggest` wrote, or its outcome.json; add #2 for the second set in it.

    \b
    Example:
      setsolver compare sets/wall-three-2026-05-02#1 sets/wall-three-2026-05-02#2
    """
    from setsolver.usecases.compare import compare
    from setsolver.usecases.sets import load_set

    document = compare([(name, load_set(name)[1]) for name in sets])
    if as_json:
        echo_json(document)
        return 0
    for number, one in enumerate(document["sets"], 1):
        proof = "proven" if one["proven"] else f"not proven, at most {one['bound']:.2f}"
        click.echo(f"{number}  {printable(one['set'])}: {one['score']:.2f} points ({proof})")
    click.echo("\npoints by rule")
    click.echo(table(_rules(document["sets"]), right=tuple(range(1, len(sets) + 1))))
    click.echo("\nlook (L* of black, mid, white; a*, b* of the cast)")
    click.echo(table(_looks(document["sets"]), right=tuple(range(1, len(sets) + 1))))
    for pair in document["pairs"]:
        _echo_pair(pair)
    return 0


def _rules(sets: list[dict[str, Any]]) -> list[list[str]]:
    names = list(dict.fromkeys(rule for one in sets for rule in one["rules"]))
    rows = [["", *(str(i) for i in range(1, len(sets) + 1))]]
    return rows + [[rule, *(points(one["rules"].get(rule, 0.0)) for one in sets)] for rule in names]


def _looks(sets: list[dict[str, Any]]) -> list[list[str]]:
    return [[axis, *(f"{one['look'][axis]:.1f}" for one in sets)] for axis in sets[0]["look"]]


def _echo_pair(pair: dict[str, Any]) -> None:
    first, second = (printable(name) for name in pair["sets"])
    click.echo(f"\n{second} against {first}: {points(pair['points'])} points")
    click.echo(f"  both: {', '.join(printable(p) for p in pair['shared']) or 'no frame'}")
    click.echo(f"  only {first}: {', '.join(printable(p) for p in pair['only_first']) or 'no frame'}")
    click.echo(f"  only {second}: {', '.join(printable(p) for p in pair['only_second']) or 'no frame'}")
