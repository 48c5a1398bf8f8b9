"""``setsolver suggest``: the best set, alternates, and a proof sheet."""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, echo_outcome
from setsolver.errors import NoSet

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.usecases.near import Nearest

__all__ = ["command"]

ORDER = 30


@click.command("suggest", short_help="Find the best set for a brief, and prove it.")
@options.folder
@options.brief
@click.option("--out", type=click.Path(path_type=Path), help="New folder for the outcome.  [default: sets/BRIEF-DATE]")
@click.option("--alternates", "-k", default=3, show_default=True, type=click.IntRange(0, 20), help="Further sets.")
@click.option(
    "--differ", type=click.IntRange(1), help="Least number of frames in which two sets differ.  [default: half the set]"
)
@click.option(
    "--ticks",
    multiple=True,
    type=click.Path(path_type=Path),
    help="A file that a client sent back; what all of them ticked is wished in. May be given several times.",
)
@click.option("--prices", is_flag=True, help="Also say what each hard rule costs, in points.")
@options.effort_options
@click.option("--save-problem", type=click.Path(path_type=Path), help="Also write the bare problem (.npz) here.")
@click.option(
    "--save-brief",
    "save_brief_to",
    type=click.Path(path_type=Path),
    help="Where there is no set, write the nearest brief that has one here.",
)
@click.option("--open/--no-open", "open_it", default=None, help="Open the proof sheet.  [default: on a terminal]")
@options.as_json
def command(
    folder: Path,
    brief_name: str,
    out: Path | None,
    alternates: int,
    differ: int | None,
    ticks: tuple[Path, ...],
    prices: bool,
    time_limit: float,
    seed: int,
    workers: int | None,
    save_problem: Path | None,
    save_brief_to: Path | None,
    open_it: bool | None,
    as_json: bool,
) -> int:
    """Find the best set in FOLDER for a brief, prove it, and write a proof sheet.

    New and changed frames are measured first. Writes outcome.json, proof.html and proof.png. The lead of a set is the
    frame that it is built around: the best paid of its first role. Exit code 1: no set exists
    under the brief's rules; the answer then says which rules clash.

    \b
    Example:
      setsolver suggest demo_catalog --brief wall-three --alternates 3
    """
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.brief_file import save_brief
    from setsolver.usecases.briefs import load_brief
    from setsolver.usecases.problem_file import is_problem
    from setsolver.usecases.proof import write_outcome
    from setsolver.usecases.ticks import read_answers, with_ticks
    from setsolver.writing import refuse_taken, refuse_taken_folder

    wanted = load_brief(brief_name)
    if out is not None:
        refuse_taken_folder(out)  # now, not after an hour of measuring
    if save_problem is not None:
        refuse_taken(save_problem, is_problem)
    if save_brief_to is not None:
        refuse_taken(save_brief_to)
    answers = read_answers(ticks)
    catalog = measured(folder, workers)
    wanted, ticked = with_ticks(wanted, answers, {frame.path for frame in catalog.frames()} if answers else ())
    with solving(time_limit, seed, workers) as effort, catalog.session(wanted, effort=effort) as session:
        if save_problem is not None:
            with suppress(NoSet):  # known before any search: there is no problem, and the outcome says why
                _save(save_problem, session.assembly.problem)
        outcome = session.outcome(alternates=alternates, differ=differ, prices=prices)
        outcome = outcome.model_copy(update={"notes": (*ticked, *outcome.notes)})
        near = session.nearest() if outcome.status == "none" else None
        outcome = outcome.model_copy(update={"near": (near.miss,)}) if near else outcome
    if near is not None and save_brief_to is not None:
        save_brief(
            near.brief, save_brief_to, f"The brief {wanted.name} {near.step.says}: with this change a set exists."
        )
    sheet = write_outcome(outcome, catalog.picture, out)
    if as_json:
        echo_json(outcome.model_dump(mode="json"))
    else:
        echo_outcome(outcome)
        _offer(near, save_brief_to)
        click.echo(f"\nproof sheet: {sheet}")
    if open_it or (open_it is None and sys.stdout.isatty() and not as_json):
        click.launch(sheet.as_uri())
    return 0 if outcome.sets else 1


def _offer(near: Nearest | None, path: Path | None) -> None:
    """Say how to get the nearest brief that has a set, or where it is."""
    if near is not None:
        click.echo(f"  that brief is written to {path}" if path else "  --save-brief FILE.toml writes that brief")


def _save(path: Path, problem: Problem) -> None:
    from setsolver.usecases.problem_file import save

    save(problem, path)
