"""Albums of many events: folders, or the chapters of one archive; a folder each, and one page that lists all."""

from __future__ import annotations

import html
import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray
from xxhash import xxh3_128

from setsolver import __version__
from setsolver.domain.brief import Brief
from setsolver.errors import BadInput, NoFrames
from setsolver.reading import read_within
from setsolver.usecases.album_change import make_album
from setsolver.usecases.album_files import ALBUM_FILE, COVER, load_album, outside, write_album
from setsolver.usecases.effort import Effort
from setsolver.usecases.many import Answer, may_have_children, run_many
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot
from setsolver.writing import write_own

if TYPE_CHECKING:
    from setsolver.domain.album import Album
    from setsolver.domain.snapshot import Snapshot
    from setsolver.render.save import Intent

__all__ = ["BatchReport", "Event", "Told", "chapter_events", "folder_events", "make_albums", "part_of"]

REPORT, PAGE = "albums.json", "albums.html"
_MOST_BYTES: Final = 100_000_000


@dataclass(frozen=True, slots=True)
class Event:
    """One album to make. name : of its folder. chapter : of the catalog, None = all of it."""

    name: str
    folder: Path
    out: Path
    brief: str
    chapter: int | None
    ppi: float
    profile: Path | None
    pages: bool
    time_limit: float
    seed: int
    work: float = 1.0
    intent: Intent = "relative"

    @property
    def job(self) -> str:
        """What tells this album from one of the same name that was asked otherwise."""
        asked = (
            f"{__version__}|{self.folder.resolve()}|{self.chapter}|{self.brief}|{self.ppi}|{self.profile}|{self.pages}"
        )
        return xxh3_128(f"{asked}|{self.time_limit}|{self.seed}|{self.work}|{self.intent}".encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of an event: a row of the report."""

    name: str
    status: str
    score: float | None = None
    gap: float | None = None
    seconds: float = 0.0
    spreads: int = 0
    pictures: int = 0
    why: str = ""
    cover: str = ""
    kept: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return the row as a document has it."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What became of all events. made : anew. kept : there from before. failed : without a book."""

    made: int
    kept: int
    failed: int
    page: Path


def folder_events(folders: Iterable[Path], common: Event) -> Iterator[Event]:
    """Yield an event for each folder, named after it; a name that comes again gets a number."""
    taken: set[str] = set()
    for folder in folders:
        stem = name = folder.resolve().name or "event"
        number = 1
        while name in taken:
            number += 1
            name = f"{stem}-{number}"
        taken.add(name)
        yield replace(common, name=name, folder=folder)


def chapter_events(folder: Path, common: Event) -> Iterator[Event]:
    """Yield an event for each chapter of a scanned catalog, named by its first day and its number."""
    frames = snapshot(folder).frames
    for chapter in sorted({frame.chapter for frame in frames}):
        own = [frame.shot.taken for frame in frames if frame.chapter == chapter and frame.shot.taken]
        day = f"-{min(own)[:10]}" if own else ""
        yield replace(common, name=f"chapter-{chapter + 1:04d}{day}", folder=folder, chapter=chapter)


def make_albums(
    events: Iterable[Event],
    out: Path,
    *,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Callable[[Told], None] = lambda _: None,
) -> BatchReport:
    """Make an album of each event under ``out`` and write the report; what is there whole is kept.

    Raises
    ------
    BadInput
        Where the folder cannot be used, or no cluster answers.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"cannot make the folder {out}: {error.strerror}; name another with --out") from error
    rows: list[Told] = []
    answers: Iterable[Answer[Event, Told]] = run_many(make_one, events, workers=workers, cluster=cluster)
    try:
        for answer in answers:
            told = answer.result or Told(answer.job.name, "failed", why=answer.why)
            rows.append(told)
            progress(told)
    except BaseException:
        with suppress(OSError):  # it holds albums, and stays
            out.rmdir()
        raise
    rows.sort(key=lambda told: told.name)
    write_own(out / REPORT, _document(rows), _is_report)
    write_own(out / PAGE, _page(rows).encode(), _is_page)
    failed = sum(told.spreads == 0 for told in rows)
    kept = sum(told.kept and told.spreads > 0 for told in rows)
    return BatchReport(len(rows) - kept - failed, kept, failed, out / PAGE)


def make_one(event: Event) -> Told:
    """Make one event's album, or find it there; run by a worker.

    A file that crashes its decoder costs that file, or this album, where the worker may have processes of its own;
    where it may not, it costs the worker, and the event is tried again and given up.
    """
    folder = event.out / event.name
    if (folder / ALBUM_FILE).is_file():
        album = load_album(folder)
        if album.job != event.job:
            raise BadInput(f"{folder} holds an album that was asked otherwise; name a new folder with --out")
        return _told(event, album, kept=True)
    outside(event.out, event.folder)
    if event.chapter is None and scan(event.folder, workers=int(may_have_children())).frames == 0:
        raise NoFrames(f"nothing in {str(event.folder)!r} could be read as a photograph")
    whole = snapshot(event.folder)
    shoot = whole if event.chapter is None else part_of(whole, event.chapter)
    brief = Brief.model_validate_json(event.brief)
    effort = Effort(event.time_limit, event.seed, workers=1, work=event.work)
    kept: list[bytes] = [b""]
    album = make_album(shoot, brief, effort, keep=kept.append)
    if not album.spreads:  # nothing to keep: it is tried again when the batch is, as frames may have come
        return _told(event, album, kept=False)
    album = album.model_copy(update={"job": event.job})
    album = write_album(
        album,
        event.folder,
        folder,
        ppi=event.ppi,
        profile=event.profile,
        intent=event.intent,
        pictures=event.pages,
        workers=1,
        apart=may_have_children(),
        columns=kept[-1],
    )
    return _told(event, album, kept=False)


def _told(event: Event, album: Album, *, kept: bool) -> Told:
    why = "; ".join(f"{clash.says}{f' ({clash.way_out})' if clash.way_out else ''}" for clash in album.conflict)
    cover = f"{event.name}/{COVER}" if any(made.file == COVER for made in album.files) else ""
    pictures = sum(len(spread.frames) for spread in album.spreads)
    return Told(
        event.name, album.status, album.score, album.gap, album.seconds, len(album.spreads), pictures, why, cover, kept
    )


def part_of(whole: Snapshot, chapter: int) -> Snapshot:
    """Return one chapter of a catalog as a catalog of its own: frames numbered anew, pairs and series with them."""
    own = [frame for frame in whole.frames if frame.chapter == chapter]
    new = {frame.id: number for number, frame in enumerate(own)}
    pairs = tuple((new[a], new[b]) for a, b in whole.pairs if a in new and b in new)
    series = tuple(tuple(new[one] for one in line if one in new) for line in whole.series)
    looks = whole.signatures

    def signatures() -> tuple[NDArray[np.int64], NDArray[np.float32]]:
        ids, vectors = looks() if looks is not None else (np.zeros(0, np.int64), np.zeros((0, 1), np.float32))
        inside = np.array([one in new for one in ids.tolist()], dtype=bool)
        return np.array([new[one] for one in ids[inside].tolist()], np.int64), vectors[inside]

    return replace(
        whole,
        frames=tuple(replace(frame, id=new[frame.id]) for frame in own),
        pairs=pairs,
        series=tuple(line for line in series if len(line) > 1),
        signatures=None if looks is None else signatures,
    )


def _document(rows: list[Told]) -> bytes:
    albums = [row.as_json() for row in rows]
    document = {"format": "setsolver/albums", "version": 1, "tool": f"setsolver {__version__}", "albums": albums}
    return json.dumps(document, indent=1, allow_nan=False).encode()


def _is_report(file: Path) -> bool:
    try:
        return bool(json.loads(read_within(file, _MOST_BYTES)).get("format") == "setsolver/albums")
    except (ValueError, AttributeError):
        return False


_MARK: Final = '<meta name="generator" content="setsolver albums">'


def _is_page(file: Path) -> bool:
    with file.open("rb") as stream:
        return _MARK.encode() in stream.read(2000)


_STYLE: Final = (
    "body{font:15px/1.5 system-ui,sans-serif;margin:2.5rem auto;max-width:72rem;padding:0 1.5rem;color:#111}"
    "table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:.5rem .8rem;border-top:1px solid #ddd;"
    "vertical-align:top}td.n,th.n{text-align:right;font-variant-numeric:tabular-nums}img{width:9rem;display:block}"
    "tr.none td{color:#7a3b00}h1{font-weight:400}"
)


def _page(rows: list[Told]) -> str:
    """Return the page that lists all albums: cover, score, gap, seconds, and what is short."""
    books = sum(row.spreads > 0 for row in rows)
    head = "".join(f"<th class='n'>{name}</th>" for name in ("spreads", "pictures", "points", "gap", "seconds"))
    lines = "".join(map(_row, rows))
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8">{_MARK}<title>Albums</title>'
        f"<style>{_STYLE}</style></head><body><h1>Albums of {len(rows)} events, {books} made</h1>"
        f"<table><thead><tr><th>cover</th><th>event</th>{head}<th>what is short</th></tr></thead>"
        f"<tbody>{lines}</tbody></table></body></html>\n"
    )


def _row(told: Told) -> str:
    name = html.escape(told.name)
    cover = f'<img src="{html.escape(told.cover)}" alt="first picture of {name}">' if told.cover else ""
    link = f'<a href="{name}/screen.pdf">{name}</a>' if told.cover else name
    gap = "" if told.gap is None else f"{told.gap:.1f}"
    score = "" if told.score is None else f"{told.score:.1f}"
    numbers = (str(told.spreads or ""), str(told.pictures or ""), score, gap, f"{told.seconds:.1f}")
    cells = "".join(f'<td class="n">{value}</td>' for value in numbers)
    says = html.escape(told.why) or ("" if told.status == "proven" else "gap open" if told.spreads else told.status)
    return f"<tr{'' if told.spreads else ' class=none'}><td>{cover}</td><td>{link}</td>{cells}<td>{says}</td></tr>"
