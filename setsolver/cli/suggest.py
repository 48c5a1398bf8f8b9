"""``setsolver suggest``: the best set, alternates, and a proof sheet."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, echo_outcome

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem

__all__ = ["command"]


@click.command("suggest")
@options.folder
@options.brief
@click.option("--out", type=click.Path(path_type=Path), help="New folder for the outcome.  [default: sets/BRIEF-DATE]")
@click.option("--alternates", "-k", default=3, show_default=True, type=click.IntRange(0, 20), help="Further sets.")
@click.option("--differ", type=click.IntRange(1), help="Frames by which sets differ at least.  [default: half the set]")
@click.option("--prices", is_flag=True, help="Also say what each hard rule costs, in points.")
@options.effort_options
@click.option("--save-problem", type=click.Path(path_type=Path), help="Also write the bare problem (.npz) here.")
@click.option("--open/--no-open", "open_it", default=None, help="Open the proof sheet.  [default: on a terminal]")
@options.as_json
def command(
    folder: Path,
    brief_name: str,
    out: Path | None,
    alternates: int,
    differ: int | None,
    prices: bool,
    time_limit: float,
    seed: int,
    workers: int | None,
    save_problem: Path | None,
    open_it: bool | None,
    as_json: bool,
) -> int:
    """Find the best set in FOLDER for a brief, prove it, and write a proof sheet.

    New and changed frames are measured first. Writes outcome.json, proof.html and proof.png. Exit code 1: no set exists
    under the brief's rules; the answer then says which rules clash.

    \b
    Example:
      setsolver suggest demo_catalog --brief wall-three --alternates 3
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.briefs import load_brief
    from setsolver.usecases.problem_file import is_problem
    from setsolver.usecases.proof import write_outcome
    from setsolver.usecases.suggest import suggest
    from setsolver.writing import refuse_taken, refuse_taken_folder

    wanted = load_brief(brief_name)
    if out is not None:
        refuse_taken_folder(out)  # now, not after an hour of measuring
    if save_problem is not None:
        refuse_taken(save_problem, is_problem)
    catalog = measured(folder, workers)
    with solving(time_limit, seed, workers) as effort:
        outcome = suggest(
            catalog.snapshot(),
            wanted,
            alternates=alternates,
            differ=differ,
            effort=effort,
            prices=prices,
            on_problem=None if save_problem is None else partial(_save, save_problem),
        )
    sheet = write_outcome(outcome, catalog.picture, out)
    if as_json:
        echo_json(outcome.model_dump(mode="json"))
    else:
        echo_outcome(outcome)
        click.echo(f"\nproof sheet: {sheet}")
    if open_it or (open_it is None and sys.stdout.isatty() and not as_json):
        click.launch(sheet.as_uri())
    return 0 if outcome.sets else 1


def _save(path: Path, problem: Problem) -> None:
    from setsolver.usecases.problem_file import save

    save(problem, path)
