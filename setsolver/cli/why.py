"""``setsolver why``: why a frame is in a set, or what the best set with it would cost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, named, points, printable, table

__all__ = ["command"]

ORDER = 60


@click.command("why", short_help="Say why a frame is in a set, or what it would cost.")
@click.argument("set_name", metavar="SET")
@click.argument("frame", metavar="FRAME")
@click.option("--catalog", type=click.Path(path_type=Path), help="The catalog, if it has moved since the set was made.")
@options.effort_options
@options.as_json
def command(
    set_name: str,
    frame: str,
    catalog: Path | None,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Say why FRAME is in SET, or what the best set with it would cost.

    FRAME is its path in the catalog, or on the disk. Of an absent frame the terms that cost the points are named. Exit
    code 1: no set with (or without) it exists under the brief.

    \b
    Example:
      setsolver suggest demo_catalog --out hall
      setsolver why hall 1-morning/0012.jpg
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.home import own_path
    from setsolver.usecases.reopened import brief_of, catalog_of
    from setsolver.usecases.sets import load_set
    from setsolver.usecases.why import why_in

    outcome, found = load_set(set_name)
    home = catalog or catalog_of(outcome)
    shoot = measured(home, workers)
    with solving(time_limit, seed, workers) as effort, shoot.session(brief_of(outcome), effort=effort) as session:
        path = own_path(home, frame, {one.path for one in session.snapshot.frames}) or frame
        document = why_in(session, found, path)
    if as_json:
        echo_json(document)
    else:
        _echo(document)
    return 0 if document["points"] is not None else 1


def _echo(document: dict[str, Any]) -> None:
    place = "in the set" if document["in_set"] else "not in the set"
    click.echo(f"{printable(document['frame'])} is {place}. {printable(document['says'])}")
    if document["lines"]:
        click.echo("what it earns in this set:" if document["in_set"] else "what it would earn in that set:")
        rows = [(named(line["rule"]), points(line["points"]), printable(line["says"])) for line in document["lines"]]
        click.echo(table(rows, right=(1,)))
    for key, words in (("leave", "out"), ("enter", "in")):
        if document.get(key):
            click.echo(f"  {words}: {', '.join(printable(p) for p in document[key])}")
    for clash in document.get("conflict", []):
        click.echo(f"  {clash['says']}" + (f"; {clash['way_out']}" if clash["way_out"] else ""))
