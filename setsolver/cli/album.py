"""``setsolver album``: a book from a catalog, for a printer and for a screen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from setsolver.cli import options
from setsolver.cli.progress import scanning
from setsolver.cli.said import echo_json, printable, table
from setsolver.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.album import Album
    from setsolver.render.save import Intent
    from setsolver.usecases.album_change import Change

__all__ = ["command"]

ORDER = 90


@click.command("album", short_help="Make a book: chapters, spreads, a PDF for the printer.")
@click.argument("sources", metavar="FOLDER...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--brief", "-b", "brief_name", help="An album brief's name or its file.  [default: story-album]")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path), help="New folder for the book, outside the catalog."
)
@click.option(
    "--catalog", type=click.Path(path_type=Path), help="The catalog, if it has moved since an album was made."
)
@click.option(
    "--pin", multiple=True, metavar="FRAME", help="A path or glob of frames that must be in. May be repeated."
)
@click.option(
    "--bar", multiple=True, metavar="FRAME", help="A path or glob of frames that must be out. May be repeated."
)
@click.option("--spreads", metavar="N or N-M", help="Other numbers of spreads than the brief's.")
@click.option("--lock", multiple=True, type=click.IntRange(1), help="A spread of an album that stays. May be repeated.")
@click.option("--swap", type=(click.IntRange(1), click.IntRange(1)), help="Two spreads of an album to exchange.")
@click.option(
    "--ppi", default=300.0, show_default=True, type=click.FloatRange(30, 1200), help="Pixels per inch, at most."
)
@click.option(
    "--profile", type=click.Path(path_type=Path), help="ICC profile of the printing condition.  [default: sRGB]"
)
@options.intent_of("Rendering intent of pictures that are converted to it.")
@click.option("--by-chapter", is_flag=True, help="An album of each chapter of FOLDER, an archive.")
@click.option("--cluster", metavar="ADDRESS", help="Make many albums on a Dask cluster that sees the same files.")
@click.option("--pages/--no-pages", default=True, show_default=True, help="Make the PDFs, not the document alone.")
@click.option(
    "--work",
    default=1.0,
    show_default=True,
    type=click.FloatRange(0.01, 1000),
    help="How much to search: 2 = twice as much. The same work gives the same book, unless time ends it.",
)
@options.effort_options_of(600.0)
@options.as_json
def command(
    sources: tuple[Path, ...],
    brief_name: str | None,
    out: Path,
    catalog: Path | None,
    pin: tuple[str, ...],
    bar: tuple[str, ...],
    spreads: str | None,
    lock: tuple[int, ...],
    swap: tuple[int, int] | None,
    ppi: float,
    profile: Path | None,
    intent: Intent,
    by_chapter: bool,
    cluster: str | None,
    pages: bool,
    work: float,
    time_limit: float,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Make an album of FOLDER: the best sequence of spreads under an album brief, proven, as a PDF for the printer.

    Writes album.pdf (trim, bleed, output intent), screen.pdf, overview.pdf with the ledger, and album.json. FOLDER may
    be an album made before: it is opened again, changed as asked, and told what that costs. Exit code 1: no book exists
    under the brief's rules; the answer then says which, and the way out.

    \b
    Examples:
      setsolver album demo_catalog --brief place-album --out book
      setsolver album book --lock 3 --bar 1-morning/0016.jpg --out book-2
      setsolver album weddings/* --brief event-album --out books
    """
    from setsolver.cli.albums import Given, batch
    from setsolver.usecases.album_change import Change
    from setsolver.usecases.album_condition import condition_of
    from setsolver.usecases.album_files import ALBUM_FILE, outside, write_album
    from setsolver.writing import refuse_taken_folder

    condition_of(profile, intent)  # refused now, not once all is solved
    change = Change(pin, bar, lock, swap, _spreads(spreads))
    if len(sources) > 1 or by_chapter or cluster is not None:
        if change:
            raise BadInput("--pin, --bar, --lock, --swap and --spreads speak of one album; name one folder")
        given = Given(
            brief_name or "story-album", out, ppi, profile, intent, pages, work, time_limit, seed, workers, cluster
        )
        return batch(sources, given, by_chapter=by_chapter, as_json=as_json)
    refuse_taken_folder(out)
    source = sources[0]
    again = source.is_file() or (source / ALBUM_FILE).is_file()
    effort, kept = _Effort(time_limit, seed, workers, work), [b""]
    if again:
        album, folder = _changed(source, catalog, brief_name, change, effort, kept.append)
    else:
        outside(out, source)
        album, folder = _new(source, brief_name or "story-album", change, effort, kept.append)
    if album.spreads:
        with scanning() as told:
            progress = told or (lambda *_: None)
            album = write_album(
                album,
                folder,
                out,
                ppi=ppi,
                profile=profile,
                intent=intent,
                pictures=pages,
                apart=True,
                columns=kept[-1],
                progress=progress,
            )
    if as_json:
        echo_json(album.model_dump(mode="json"))
    else:
        _echo(album, out)
    for note in album.notes:
        click.echo(f"setsolver: {printable(note)}", err=True)
    return 0 if album.spreads else 1


class _Effort(NamedTuple):
    """How hard to search, as ``solving`` takes it."""

    time_limit: float
    seed: int
    workers: int | None
    work: float


def _new(
    folder: Path, brief_name: str, change: Change, effort: _Effort, keep: Callable[[bytes], None]
) -> tuple[Album, Path]:
    from setsolver.cli.measured import measured, solving
    from setsolver.usecases.album_book import wish_of
    from setsolver.usecases.album_change import make_album
    from setsolver.usecases.briefs import load_brief

    brief = load_brief(brief_name)
    wish_of(brief)
    catalog = measured(folder, effort.workers)
    snapshot = catalog.snapshot()
    with solving(*effort) as given:
        return make_album(snapshot, brief, given, change, keep), catalog.folder


def _changed(
    source: Path,
    catalog: Path | None,
    brief_name: str | None,
    change: Change,
    effort: _Effort,
    keep: Callable[[bytes], None],
) -> tuple[Album, Path]:
    from setsolver.cli.measured import solving
    from setsolver.usecases.album_change import change_album
    from setsolver.usecases.album_files import load_album
    from setsolver.usecases.reopened import catalog_of
    from setsolver.usecases.snapshot import scanned

    if brief_name is not None:
        raise BadInput("an album that is opened again keeps its brief; name its catalog to make one with another")
    if not change:
        raise BadInput("nothing to change; say --pin, --bar, --lock, --swap or --spreads")
    album = load_album(source)
    folder = catalog or catalog_of(album)
    beside = source if source.is_dir() else source.parent
    with solving(*effort) as given:
        return change_album(album, scanned(folder), change, given, kept=beside, keep=keep), folder


def _spreads(text: str | None) -> tuple[int, int] | None:
    if text is None:
        return None
    least, _, most = text.partition("-")
    try:
        bounds = int(least), int(most or least)
    except ValueError:
        bounds = (0, 0)
    if not 1 <= bounds[0] <= bounds[1] <= 200:
        raise BadInput(f"--spreads {text}: write a number from 1 to 200, or least and most such as 20-40")
    return bounds


def _echo(album: Album, out: Path) -> None:
    if not album.spreads:
        click.echo("no album under these rules" if album.status == "none" else "no album was found in the time given")
        for clash in album.conflict:
            click.echo(f"  {printable(clash.says)}")
            if clash.way_out:
                click.echo(f"    way out: {printable(clash.way_out)}")
        for rule in album.ruled_out:
            click.echo(f"  out: {printable(rule.in_full)}")
        return
    rows: list[tuple[str, ...]] = [("spread", "chapter", "kind", "points", "pictures")]
    rows += [
        (str(s.number), str(s.chapter), s.kind, f"{s.score:.1f}", ", ".join(printable(f.path) for f in s.frames))
        for s in album.spreads
    ]
    click.echo(table(rows, right=(0, 1, 3)))
    pictures = sum(len(spread.frames) for spread in album.spreads)
    gap = "proven best" if album.status == "proven" else "a gap is open"
    if album.status == "open" and album.gap is not None:
        gap = f"at most {album.gap:.1f} points better might exist"
    click.echo(f"\n{len(album.spreads)} spreads, {pictures} pictures: {album.score:.1f} points, {gap}")
    if album.greedy is not None:
        click.echo(f"made chapter by chapter, each spread best by itself, it would score {album.greedy:.1f}")
    for line in album.changes[-3:]:
        click.echo(printable(line))
    names = ", ".join([*(made.file for made in album.files), "album.json"])
    click.echo(f"{names} in {printable(str(out))}")
