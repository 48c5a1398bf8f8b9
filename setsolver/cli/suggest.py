"""``setsolver suggest``: the best set, alternates, and a proof sheet."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli.progress import scan_progress, solve_progress
from setsolver.cli.said import echo_json, echo_outcome

if TYPE_CHECKING:
    from setsolver.domain.outcome import Outcome

__all__ = ["command"]


@click.command("suggest")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--brief", "-b", "brief_name", default="wall-three", show_default=True, help="A brief's name or file.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the outcome.  [default: sets/BRIEF-DATE]")
@click.option("--alternates", "-k", default=3, show_default=True, type=click.IntRange(0, 20), help="Further sets.")
@click.option("--differ", type=click.IntRange(1), help="Frames by which sets differ at least.  [default: half the set]")
@click.option("--time-limit", default=60.0, show_default=True, type=click.FloatRange(0.1), help="Seconds to solve.")
@click.option("--seed", default=0, show_default=True, help="Start of the search; the same seed gives the same sets.")
@click.option("--workers", type=click.IntRange(1), help="Processes and threads.  [default: all cores]")
@click.option("--save-problem", type=click.Path(path_type=Path), help="Also write the bare problem (.npz) here.")
@click.option("--open/--no-open", "open_it", default=None, help="Open the proof sheet.  [default: on a terminal]")
@click.option("--json", "as_json", is_flag=True, help="Print the outcome document (setsolver/outcome v1) only.")
def command(
    folder: Path,
    brief_name: str,
    out: Path | None,
    alternates: int,
    differ: int | None,
    time_limit: float,
    seed: int,
    workers: int | None,
    save_problem: Path | None,
    open_it: bool | None,
    as_json: bool,
) -> int:
    """Find the best set in FOLDER for a brief, prove it, and write a proof sheet.

    New and changed frames are measured first. Writes outcome.json, proof.html and proof.png.

    \b
    Example:
      setsolver suggest demo_catalog --brief wall-three --alternates 3
    """
    from setsolver.api import Catalog
    from setsolver.usecases import suggest as job

    brief = job.load_brief(brief_name)
    catalog = Catalog.open(folder)
    with scan_progress(folder) as progress:
        catalog.scan(progress=progress, workers=workers)
    assembly = job.assemble(catalog.snapshot(), brief)
    if save_problem is not None:
        job.save_problem(save_problem, assembly.problem)
    with solve_progress() as stopper:
        outcome = job.solved(
            assembly,
            alternates=alternates,
            differ=differ,
            time_limit=time_limit,
            seed=seed,
            workers=workers,
            progress=stopper.progress,
            stop=stopper.stop,
        )
    sheet = job.write(outcome, catalog, out)
    if as_json:
        echo_json(outcome.model_dump(mode="json"))
    else:
        echo_outcome(outcome)
        click.echo(f"\nproof sheet: {sheet}")
    if open_it or (open_it is None and sys.stdout.isatty() and not as_json):
        click.launch(sheet.as_uri())
    return _exit_code(outcome)


def _exit_code(outcome: Outcome) -> int:
    return 0 if outcome.sets else 1
