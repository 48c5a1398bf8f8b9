"""``setsolver finish``: prints at full size from the originals of a set."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli import options
from setsolver.cli.progress import scanning
from setsolver.cli.said import echo_json, printable, table

if TYPE_CHECKING:
    from setsolver.domain.finish import Finish, FinishedPrint

__all__ = ["command"]

ORDER = 80

_PROOF = 1600
"""Long side, in pixels, of small prints for a message."""


@click.command("finish", short_help="Make the prints of a set at full size.")
@click.argument("set_name", metavar="SET")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path), help="Folder for the prints, outside the catalog."
)
@click.option("--catalog", type=click.Path(path_type=Path), help="The catalog, if it has moved since the set was made.")
@click.option("--format", "kind", default="tiff", show_default=True, type=click.Choice(["tiff", "jpeg"]))
@click.option(
    "--ppi", default=300.0, show_default=True, type=click.FloatRange(30, 2400), help="Pixels per inch, at most."
)
@click.option("--profile", type=click.Path(path_type=Path), help="ICC profile of the lab's paper.  [default: sRGB]")
@click.option("--paper", default="", help="Paper, as the lab calls it, for its list.  [default: as the lab has it]")
@options.intent_of("Rendering intent.")
@click.option("--bleed-mm", default=0.0, type=click.FloatRange(0, 50), help="Picture beyond the trim, on every side.")
@click.option("--border-mm", default=0.0, type=click.FloatRange(0, 300), help="White around the picture.")
@click.option(
    "--plan-paper", default="A4", show_default=True, type=click.Choice(["A4", "Letter"]), help="Of the hanging plan."
)
@click.option(
    "--wall-photograph",
    type=click.Path(path_type=Path),
    help="Photograph of the wall, instead of the one in the brief's [wall.photograph].",
)
@click.option("--web", type=click.IntRange(16, 20000), help="Also JPEGs for the web of so many pixels' long side.")
@click.option(
    "--sidecars", type=click.Path(path_type=Path), help="Write XMP sidecars of the originals into this folder."
)
@click.option("--beside", is_flag=True, help="Write XMP sidecars next to the originals; what is there stays.")
@click.option("--proof", is_flag=True, help=f"Small JPEGs of {_PROOF} pixels for a message instead.")
@click.option("--workers", type=click.IntRange(1), help="Prints at the same time.  [default: what 2 GB allow]")
@options.as_json
def command(
    set_name: str,
    out: Path,
    catalog: Path | None,
    kind: str,
    ppi: float,
    profile: Path | None,
    paper: str,
    intent: str,
    bleed_mm: float,
    border_mm: float,
    plan_paper: str,
    wall_photograph: Path | None,
    web: int | None,
    sidecars: Path | None,
    beside: bool,
    proof: bool,
    workers: int | None,
    as_json: bool,
) -> int:
    """Make the prints of SET from its originals: levelled, cropped, toned to the look, sharpened, for the lab.

    Writes numbered files, finish.json and lab.csv. Each file is opened again and measured; what misses its promise is
    said. Run it again to take up a finish that was stopped. Exit code 2: some frame could not be printed.

    \b
    Example:
      setsolver suggest demo_catalog --out hall
      setsolver finish hall --out prints
    """
    from setsolver.catalog.paths import to_file
    from setsolver.render.save import load_profile
    from setsolver.usecases.finish import finish
    from setsolver.usecases.finish_metadata import Sidecars
    from setsolver.usecases.finish_size import Wish
    from setsolver.usecases.sets import load_set

    outcome, found = load_set(set_name)
    wish = Wish(
        load_profile(profile, intent),  # type: ignore[arg-type]  # click has checked the word
        ppi,
        "jpeg" if proof or kind == "jpeg" else "tiff",
        bleed_mm,
        border_mm,
        _PROOF if proof else None,
        web,
        paper,
    )
    with scanning() as told:
        document = finish(
            outcome,
            found,
            catalog or to_file(Path(), outcome.catalog),
            out,
            wish,
            sidecars=Sidecars(sidecars, beside),
            hanging_paper=plan_paper,
            wall_photograph=wall_photograph,
            workers=workers,
            apart=True,
            progress=told or (lambda *_: None),
        )
    if as_json:
        echo_json(document.model_dump(mode="json"))
    else:
        _echo(document, out)
    for made in document.prints:
        for warning in made.warnings:
            click.echo(f"setsolver: {printable(made.file)}: {printable(warning)}", err=True)
    for note in document.notes:
        click.echo(f"setsolver: {printable(note)}", err=True)
    for frame in document.refused:
        click.echo(f"setsolver: {printable(frame.source)} was not printed: {printable(frame.why)}", err=True)
    return 2 if document.refused else 0


def _echo(document: Finish, out: Path) -> None:
    rows: list[tuple[str, ...]] = [("print", "cm", "pixels", "ppi", "black", "mid", "white", "a*", "b*")]
    rows += [_row(made) for made in document.prints]
    click.echo(table(rows, right=(1, 2, 3, 4, 5, 6, 7, 8)))
    look = document.look
    click.echo(
        f"the look: black {look.black:.1f}, mid {look.mid:.1f}, white {look.white:.1f}, a* {look.cast_a:.1f}, "
        f"b* {look.cast_b:.1f}; measured on the files in {printable(document.profile)}"
    )
    for made in document.prints:
        for note in made.notes:
            click.echo(f"  {printable(made.file)}: {printable(note)}")
    count = len(document.prints)
    if any(made.file == "hanging-plan.pdf" for made in document.files):
        click.echo("Before hanging, check the weight of each framed print, the wall and the rating of the fasteners.")
    click.echo(f"\n{count} {'print' if count == 1 else 'prints'} in {printable(str(out))}")


def _row(made: FinishedPrint) -> tuple[str, ...]:
    tone = made.tone
    return (
        printable(made.file),
        f"{made.print_width_cm:.1f} x {made.print_height_cm:.1f}",
        f"{made.width} x {made.height}",
        f"{made.ppi:.0f}",
        *(f"{value:.1f}" for value in (tone.black, tone.mid, tone.white, tone.cast_a, tone.cast_b)),
    )
