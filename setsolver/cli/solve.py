"""``setsolver solve``: the bare engine on a problem file."""

from __future__ import annotations

from pathlib import Path

import click

from setsolver.cli import options
from setsolver.cli.solve_said import echo_bare
from setsolver.domain.alternates import ALTERNATES

__all__ = ["command"]

ORDER = 130


@click.command("solve", short_help="Solve a bare problem file.")
@click.argument("problem_file", metavar="PROBLEM.npz", type=click.Path(path_type=Path))
@click.option("--alternates", "-k", default=0, show_default=True, type=click.IntRange(0, 100), help="Further sets.")
@click.option(
    "--differ",
    default=1,
    show_default=True,
    type=click.IntRange(1),
    help="Least number of frames in which two sets differ.",
)
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    type=click.Choice(tuple(ALTERNATES)),
    help="One more further set of this kind: another lead frame (the best paid of the first role), another look, or "
    "the best of all with no more (less_effort) or no less correction (more_effort). Repeatable.",
)
@click.option("--prices", is_flag=True, help="Also say what each hard rule costs in points.")
@options.effort_options
@options.as_json
def command(
    problem_file: Path,
    alternates: int,
    differ: int,
    kinds: tuple[str, ...],
    prices: bool,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Solve a bare problem: arrays in, proven sets out.

    PROBLEM.npz is written by `setsolver suggest --save-problem` or by numpy.savez. --json prints the document
    setsolver/solution version 1. When the time is up, or after Ctrl-C, the best set so far is printed with its gap.

    Exit codes: 0 a set was found, 1 none (no set exists, or none was found in time), 2 bad use or bad input.

    \b
    Example:
      setsolver solve hall.npz --alternates 3 --differ 2
      setsolver solve hall.npz --kind lead --kind look --prices --json
    """
    from setsolver.cli.measured import solving
    from setsolver.cli.said import echo_json
    from setsolver.usecases.bare import answer
    from setsolver.usecases.problem_file import load

    problem = load(problem_file)
    with solving(time_limit, seed, workers) as effort:
        found = answer(problem, effort, kinds=("differs",) * alternates + kinds, differ=differ, prices=prices)
    if as_json:
        echo_json(found.to_json())
    else:
        echo_bare(problem, found)
    return 0 if found.solution.solutions else 1
