"""``setsolver compare``: sets side by side."""

from __future__ import annotations

from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, named, points, printable, table
from setsolver.domain.rendition import FURTHER_AXES, TONE_AXES_IN_WORDS
from setsolver.rules.words import number

__all__ = ["command"]

ORDER = 50


@click.command("compare", short_help="Lay sets side by side.")
@click.argument("sets", nargs=-1, required=True, metavar="SET SET...")
@options.as_json
def command(sets: tuple[str, ...], as_json: bool) -> int:
    """Lay sets side by side: frames, points by rule, looks, differences.

    A SET is a folder that `suggest` wrote, or its outcome.json; add #2 for the second set in it. Where briefs or shoots
    differ a warning says so: such points are not of one measure.

    \b
    Example:
      setsolver suggest demo_catalog --out hall
      setsolver compare hall#1 hall#2
    """
    from setsolver.usecases.compare import compare
    from setsolver.usecases.sets import load_set

    document = compare([(name, *load_set(name)) for name in sets])
    if as_json:
        echo_json(document)
        return 0
    for at, one in enumerate(document["sets"], 1):
        proof = "proven" if one["proven"] else f"not proven, at most {one['bound']:.2f}"
        click.echo(f"{at}  {printable(one['set'])}: {one['score']:.2f} points ({proof})")
    click.echo("\npoints by rule")
    click.echo(table(_rules(document["sets"]), right=tuple(range(1, len(sets) + 1))))
    click.echo("\nlook (black point, mid tone and white point as L*; casts as a* and b*)")
    click.echo(table(_looks(document["sets"]), right=tuple(range(1, len(sets) + 1))))
    for pair in document["pairs"]:
        _echo_pair(pair)
    return 0


def _rules(sets: list[dict[str, Any]]) -> list[list[str]]:
    names = list(dict.fromkeys(rule for one in sets for rule in one["rules"]))
    rows = [["", *(str(i) for i in range(1, len(sets) + 1))]]
    return rows + [[named(rule), *(points(one["rules"].get(rule, 0.0)) for one in sets)] for rule in names]


def _looks(sets: list[dict[str, Any]]) -> list[list[str]]:
    axes = [axis for axis in sets[0]["look"] if axis not in FURTHER_AXES or any(one["look"][axis] for one in sets)]
    return [[TONE_AXES_IN_WORDS.get(axis, axis), *(number(one["look"][axis]) for one in sets)] for axis in axes]


def _echo_pair(pair: dict[str, Any]) -> None:
    first, second = (printable(name) for name in pair["sets"])
    click.echo(f"\n{second} against {first}: {points(pair['points'])} points")
    for warning in pair["warnings"]:
        click.echo(f"  warning: {printable(warning)}")
    click.echo(f"  both: {', '.join(printable(p) for p in pair['shared']) or 'no frame'}")
    click.echo(f"  only {first}: {', '.join(printable(p) for p in pair['only_first']) or 'no frame'}")
    click.echo(f"  only {second}: {', '.join(printable(p) for p in pair['only_second']) or 'no frame'}")
