"""Albums of many folders, or of the chapters of one archive: what ``setsolver album`` says of a batch."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from setsolver.cli.progress import scanning
from setsolver.cli.said import echo_json, printable, table
from setsolver.errors import BadInput

if TYPE_CHECKING:
    from setsolver.render.save import Intent

__all__ = ["Given", "batch"]


class Given(NamedTuple):
    """What a batch shares."""

    brief: str
    out: Path
    ppi: float
    profile: Path | None
    intent: Intent
    pages: bool
    work: float
    time_limit: float
    seed: int
    workers: int | None
    cluster: str | None


def batch(sources: tuple[Path, ...], given: Given, *, by_chapter: bool, as_json: bool) -> int:
    """Make an album of each folder or chapter; say of each what became of it, and write one page that lists all."""
    from setsolver.cli.measured import measured
    from setsolver.usecases.album_batch import Event, chapter_events, folder_events, make_albums
    from setsolver.usecases.album_book import wish_of
    from setsolver.usecases.briefs import load_brief

    brief = load_brief(given.brief)
    wish_of(brief)
    common = Event(
        name="",
        folder=Path(),
        out=given.out.resolve(),
        brief=brief.model_dump_json(),
        chapter=None,
        ppi=given.ppi,
        profile=None if given.profile is None else given.profile.resolve(),
        intent=given.intent,
        pages=given.pages,
        time_limit=given.time_limit,
        seed=given.seed,
        work=given.work,
    )
    if by_chapter:
        if len(sources) > 1:
            raise BadInput("--by-chapter splits one archive; name one folder")
        measured(sources[0], given.workers)
        events = list(chapter_events(sources[0].resolve(), common))
    else:
        events = list(folder_events((folder.resolve() for folder in sources), common))
    with scanning() as bar:
        done = 0

        def tell(_told: object) -> None:
            nonlocal done
            done += 1
            if bar is not None:
                bar("albums", done, len(events))

        report = make_albums(events, given.out, workers=given.workers, cluster=given.cluster, progress=tell)
    document = json.loads((given.out / "albums.json").read_bytes())
    if as_json:
        echo_json(document)
    else:
        rows: list[tuple[str, ...]] = [("event", "spreads", "points", "gap", "seconds", "what is short")]
        rows += [_told_row(told) for told in document["albums"]]
        click.echo(table(rows, right=(1, 2, 3, 4)))
        kept = f", {report.kept} kept as they were" if report.kept else ""
        failed = f", {report.failed} without a book" if report.failed else ""
        click.echo(f"\n{report.made} made{kept}{failed}: {printable(str(report.page))}")
    return 1 if report.failed else 0


def _told_row(told: dict[str, Any]) -> tuple[str, ...]:
    score, gap = ("" if told[key] is None else f"{told[key]:.1f}" for key in ("score", "gap"))
    why = told["why"] or ("" if told["status"] in ("proven", "open") else told["status"])
    return printable(told["name"]), str(told["spreads"]), score, gap, f"{told['seconds']:.1f}", printable(why)
