"""``setsolver learn``: a taste fitted to choices."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json, printable, table
from setsolver.errors import BadInput

__all__ = ["command"]

ORDER = 110

FEW = 20
MOST_NAMED = 5


@click.command("learn", short_help="Fit the weights of a taste to your choices.")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[CHOICES]...")
@click.option(
    "--delivered",
    nargs=2,
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FOLDER SHOOT",
    help="Pictures that were delivered, and the scanned shoot that they were chosen from. May be repeated.",
)
@click.option(
    "--brief", default="wall-three", show_default=True, help="The brief by which deliveries are measured, name or file."
)
@click.option(
    "--taste",
    "start",
    default="default",
    show_default=True,
    help='The taste to start from, a name or a file; "story" where choices are of stories.',
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the taste to this file; it must not exist yet.")
@options.effort_options
@options.as_json
def command(
    files: tuple[Path, ...],
    delivered: tuple[tuple[Path, Path], ...],
    brief: str,
    start: str,
    out: Path | None,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Fit the weights of a taste to CHOICES: files of sets that were preferred to others, a JSON line each.

    Past deliveries are choices too: a folder of delivered pictures, called like their frames, against sets drawn at
    random from the shoot; each delivery counts as one choice. Says which weights moved, by how much, and on how many
    choices. Few choices move little. A brief takes the taste by the line taste = "FILE".

    \b
    Examples:
      setsolver learn choices.jsonl --out mine.toml
      setsolver learn --delivered opening-prints opening --out mine.toml
    """
    from setsolver.cli.measured import solving
    from setsolver.usecases.deliveries import delivered_choice
    from setsolver.usecases.learn import contradictions, learn_taste, learned_document, read_choices
    from setsolver.usecases.tastes import load_taste, save_taste

    if not files and not delivered:
        raise BadInput("no choices named; name files of choices, or a delivery with --delivered FOLDER SHOOT")
    choices = read_choices(files)
    deliveries = [delivered_choice(folder, shoot, brief, seed) for folder, shoot in delivered]
    begun = load_taste(start)
    with solving(time_limit, seed, workers) as effort:
        taste, learned = learn_taste(
            choices, begun, out.stem if out else "learned", effort, [one.choice for one in deliveries]
        )
    if out is not None:
        save_taste(taste, out)
    unknown = [file for one in deliveries for file in one.unknown]
    document = learned_document(taste, learned, contradictions(choices), unknown)
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
    if document["unmatched"]:
        named = ", ".join(map(printable, document["unmatched"][:MOST_NAMED]))
        more = len(document["unmatched"]) - MOST_NAMED
        click.echo(
            f"  Called like no frame of the shoot, and left out: {named}{f' and {more} more' if more > 0 else ''}."
        )
    rows = [(one["weight"], f"{one['before']:.4g}", f"{one['after']:.4g}") for one in document["moved"]]
    click.echo(table([("weight", "before", "after"), *rows], right=(1, 2)) if rows else "No weight moved.")
    click.echo(f"It tells {document['told']:.0%} of them rightly; before it was {document['told_before']:.0%}.")
    if document["left_out"] is not None:
        click.echo(f"Of choices left out of the fit it tells {document['left_out']:.0%}: trust that number.")
    if evidence["choices"] < FEW:
        click.echo("Few choices: the weights moved little, and more may move them elsewhere.")
