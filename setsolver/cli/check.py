"""``setsolver check``: grade a set made by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, points, printable, table

__all__ = ["command"]


@click.command("check")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILES...")
@options.brief
@click.option("--catalog", type=click.Path(path_type=Path), help="Their catalog.  [default: found from the files]")
@options.effort_options
@options.as_json
def command(
    files: tuple[Path, ...],
    brief_name: str,
    catalog: Path | None,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Grade a set made by hand with the same ledger, and say whether it holds together.

    Each frame takes the crop, role and correction that serve the set best. Without --catalog the nearest folder above
    the files that has an index is taken, else the folder that holds them all. Exit code 1: a rule of the brief is
    broken.

    \b
    Example:
      setsolver check demo_catalog/a.jpg demo_catalog/b.jpg demo_catalog/c.jpg --brief wall-three
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.briefs import load_brief
    from setsolver.usecases.home import home_of, paths_in

    wanted = load_brief(brief_name)
    home = catalog or home_of(files)
    names = paths_in(home, files)
    shoot = measured(home, workers)
    with solving(time_limit, seed, workers) as effort, shoot.session(wanted, effort=effort) as session:
        document = session.check(names)
    if as_json:
        echo_json(document)
    else:
        _echo(document)
    return 0 if document["holds"] else 1


def _echo(document: dict[str, Any]) -> None:
    holds = "holds together" if document["holds"] else "does not hold together"
    click.echo(f"This set {holds} under the brief {document['brief']}.")
    for broken in document["broken"]:
        click.echo(f"  broken: {printable(broken)}")
    for note in document["notes"]:
        click.echo(f"  note: {printable(note)}")
    graded = document["set"]
    if graded is None:
        click.echo("  It cannot be graded: no frame of it can play a role.")
        return
    click.echo(f"\n{graded['score']:.2f} points")
    click.echo(table([(f["role"], printable(f["path"]), f"{f['ppi']:.0f} ppi") for f in graded["frames"]], right=(2,)))
    click.echo("\nledger")
    click.echo(table([(line["rule"], points(line["points"]), line["says"]) for line in graded["ledger"]], right=(1,)))
