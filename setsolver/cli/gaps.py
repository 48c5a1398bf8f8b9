"""``setsolver gaps``: what to shoot before leaving."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, named
from setsolver.domain.rendition import TONE_AXES_IN_WORDS
from setsolver.rules.words import number

__all__ = ["command"]

ORDER = 70


@click.command("gaps", short_help="Say what to shoot before leaving.")
@options.folder
@options.brief
@options.effort_options
@options.as_json
def command(folder: Path, brief_name: str, time_limit: float, seed: int, workers: int | None, as_json: bool) -> int:
    """Say what FOLDER lacks for a brief, as what to shoot before leaving.

    Where a set exists: which role is thinnest, and what one more good frame would gain. Exit code 1: frames are
    missing.

    \b
    Example:
      setsolver gaps demo_catalog --brief wall-nine
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.briefs import load_brief

    wanted = load_brief(brief_name)
    catalog = measured(folder, workers)
    with solving(time_limit, seed, workers) as effort, catalog.session(wanted, effort=effort) as session:
        document = session.gaps()
    if as_json:
        echo_json(document)
    else:
        _echo(document)
    return 0 if document["possible"] else 1


def _echo(document: dict[str, Any]) -> None:
    click.echo(document["says"])
    for one in document["missing"]:
        look = ", ".join(f"{TONE_AXES_IN_WORDS[axis]} {number(value, 0)}" for axis, value in one["look"].items())
        click.echo(f"  {one['says']}" + (f"; its tone near {look}" if look else ""))
    for one in document["thin"]:
        click.echo(f"  {one['says']}")
    for note in document["notes"]:
        click.echo(f"  note: {note}")
    for clash in document["conflict"]:
        click.echo(f"  clash: {clash['says']}" + (f"; {clash['way_out']}" if clash["way_out"] else ""))
    for out in document["ruled_out"]:
        way = f" ({out['way_out']})" if out["way_out"] else ""
        click.echo(f"  ruled out by {named(out['rule'])}: {out['says']}{way}")
