"""A bare solution for people."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from setsolver.cli.said import table
from setsolver.domain.alternates import ALTERNATES

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice
    from setsolver.solver.price import Price
    from setsolver.usecases.bare import Bare

__all__ = ["echo_bare"]


def echo_bare(problem: Problem, found: Bare) -> None:
    """Print status, sets, prices, and why there is no set."""
    solution = found.solution
    click.echo(
        f"{solution.status}: {problem.renditions} renditions, sets of {problem.size}, "
        f"{solution.seconds:.2f} s, {solution.nodes} nodes"
    )
    for number, choice in enumerate(solution.solutions, 1):
        _echo_choice(problem, number, choice)
    if solution.status == "infeasible":
        click.echo("\nNo set under these rules; these cannot hold together:")
        click.echo(table([(clash.rule, clash.says) for clash in solution.conflict]))
    if solution.status == "unknown":
        click.echo("\nNo set was found in the time given, and none was ruled out; give it more with --time-limit.")
    if found.prices:
        click.echo("\nWhat each rule costs: points gained were it dropped")
        click.echo(table([(cost.about, _points(cost)) for cost in found.prices]))
    for note in solution.notes:
        click.echo(f"note: {note}")


def _points(cost: Price) -> str:
    return f"{cost.points:.4f}" if cost.proven else f"{cost.least:.4f} to {cost.most:.4f}"


def _echo_choice(problem: Problem, number: int, choice: Choice) -> None:
    if choice.proven:
        proof = "proven"
    else:
        proof = f"not proven: up to {choice.gap:.4f} points more may exist (bound {choice.bound:.4f})"
    kind = ALTERNATES[choice.kind].short if choice.kind in ALTERNATES else choice.kind
    click.echo(f"\nSet {number} ({kind}): {choice.score:.4f} points, {proof}")
    members = [
        (f"rendition {item}", f"frame {problem.frame[item]}", f"role {role}", f"{problem.gain[item, role]:+.4f}")
        for item, role in zip(choice.chosen, choice.roles, strict=True)
    ]
    click.echo(table(members, right=(3,)))
    if choice.look:
        click.echo(f"  look {', '.join(f'{value:.2f}' for value in choice.look)}")
