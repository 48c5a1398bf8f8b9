"""``setsolver learn``: a taste fitted to choices."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, printable, table

__all__ = ["command"]

FEW = 20


@click.command("learn", short_help="Fit the weights of a taste to your choices.")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="CHOICES...")
@click.option(
    "--taste", "start", default="default", show_default=True, help="The taste to start from, a name or a file."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the taste to this file; it must not exist yet.")
@options.effort_options
@options.as_json
def command(
    files: tuple[Path, ...],
    start: str,
    out: Path | None,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Fit the weights of a taste to CHOICES: files of sets that were preferred to others, a JSON line each.

    Says which weights moved, by how much, and on how many choices. Few choices move little. A brief takes the taste by
    the line taste = "FILE".

    \b
    Example:
      setsolver learn choices.jsonl --out mine.toml
    """
    from setsolver.cli.measured import solving
    from setsolver.usecases.learn import contradictions, learn_taste, learned_document, read_choices
    from setsolver.usecases.tastes import load_taste, save_taste

    choices = read_choices(files)
    begun = load_taste(start)
    with solving(time_limit, seed, workers) as effort:
        taste, learned = learn_taste(choices, begun, out.stem if out else "learned", effort)
    if out is not None:
        save_taste(taste, out)
    document = learned_document(taste, learned, contradictions(choices))
    if as_json:
        echo_json(document)
        return 0
    _echo(document)
    return 0


def _echo(document: dict[str, Any]) -> None:
    evidence = document["taste"]["evidence"]
    click.echo(f"{evidence['choices']} choices in {evidence['shoots']} shoots.")
    for says in document["contradictions"]:
        click.echo(f"  {printable(says)}")
    rows = [(one["weight"], f"{one['before']:.4g}", f"{one['after']:.4g}") for one in document["moved"]]
    click.echo(table([("weight", "before", "after"), *rows], right=(1, 2)) if rows else "No weight moved.")
    click.echo(f"It tells {document['told']:.0%} of them rightly; before it was {document['told_before']:.0%}.")
    if document["left_out"] is not None:
        click.echo(f"Of choices left out of the fit it tells {document['left_out']:.0%}: trust that number.")
    if evidence["choices"] < FEW:
        click.echo("Few choices: the weights moved little, and more may move them elsewhere.")
