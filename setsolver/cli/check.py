"""``setsolver check``: grade a set made by hand."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, named, points, printable, table

__all__ = ["command"]

ORDER = 40


@click.command("check", short_help="Grade a set made by hand.")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILES...")
@options.brief
@click.option(
    "--catalog", type=click.Path(path_type=Path), help="Their catalog.  [default: the nearest scanned folder above]"
)
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

    Each frame takes the crop, role and correction that serve the set best. Every rule that is broken is said with a way
    out, and the best swap of one frame. FILES are paths on the disk, or in the catalog that you name with --catalog;
    without it their catalog is the nearest folder above them that was scanned; where there is none, you are asked on a
    terminal before theirs is measured. Exit code 1: a rule of the brief is broken.

    \b
    Example:
      setsolver check demo_catalog/1-morning/0001.jpg demo_catalog/2-afternoon/0058.jpg
      setsolver check 1-morning/0001.jpg 2-afternoon/0058.jpg 3-evening/0086.jpg --catalog demo_catalog
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.briefs import load_brief
    from setsolver.usecases.home import home_of, paths_in

    wanted = load_brief(brief_name)
    home = catalog or home_of(files, _may_measure if sys.stdin.isatty() else None)
    shoot = measured(home, workers)
    with solving(time_limit, seed, workers) as effort, shoot.session(wanted, effort=effort) as session:
        known = {frame.path for frame in session.snapshot.frames} | {out.path for out in session.snapshot.refused}
        document = session.check(paths_in(home, files, known))
    if as_json:
        echo_json(document)
    else:
        _echo(document)
    return 0 if document["holds"] else 1


def _may_measure(folder: Path) -> bool:
    """Ask on the terminal whether a folder that was not named may be measured with all that lies in it."""
    return click.confirm(
        f"No folder above these files was scanned yet. Measure {printable(str(folder))} and all photographs in it?",
        err=True,
    )


def _echo(document: dict[str, Any]) -> None:
    holds = "holds together" if document["holds"] else "does not hold together"
    click.echo(f"This set {holds} under the brief {document['brief']}.")
    for broken in document["breaks"]:
        way = f" (way out: {printable(broken['way_out'])})" if broken["way_out"] else ""
        click.echo(f"  broken: {printable(broken['says'])}{way}")
    if document["swap"] is not None:
        click.echo(f"  best swap: {printable(document['swap']['says'])}")
    elif not document["holds"] and len(document["frames"]) > 1:
        click.echo("  best swap: no single swap makes it keep the rules; `setsolver suggest` finds the best set")
    for note in document["notes"]:
        click.echo(f"  note: {printable(note)}")
    graded = document["set"]
    if graded is None:
        click.echo("  It cannot be graded: no frame of it can play a role.")
        return
    click.echo(f"\n{graded['score']:.2f} points, frame by frame:")
    for frame in graded["frames"]:
        own = [line for line in graded["ledger"] if line["frames"] == [frame["path"]]]
        total = points(sum(line["points"] for line in own))
        click.echo(f"\n{frame['role']}  {printable(frame['path'])}  {frame['ppi']:.0f} ppi  {total}")
        _echo_lines(own)
    click.echo("\nthe set as a whole")
    _echo_lines([line for line in graded["ledger"] if len(line["frames"]) != 1])


def _echo_lines(lines: list[dict[str, Any]]) -> None:
    click.echo(table([(named(line["rule"]), points(line["points"]), line["says"]) for line in lines], right=(1,)))
