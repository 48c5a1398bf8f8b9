"""The folder of an album: the book for the printer and for a screen, the overview, and the document, written last."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from xxhash import xxh3_128

from setsolver.catalog.digest import whole_digest
from setsolver.catalog.original import facts_of, sidecar_of
from setsolver.catalog.paths import to_file
from setsolver.catalog.xmp import title_of
from setsolver.domain.album import Album
from setsolver.domain.finish import FileMade
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import BadInput
from setsolver.output.album import About, Picture, album_pdf, album_sheets, captions_left_out, overview_sheets
from setsolver.output.album.pdf import Drawn
from setsolver.reading import read_within
from setsolver.render.save import srgb_profile
from setsolver.usecases.album_columns import COLUMNS
from setsolver.usecases.album_condition import condition_of, said_of_gamut
from setsolver.usecases.album_pictures import Made, make_pictures, smaller
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.reopened import Kept, brief_of, document_in
from setsolver.writing import aside, building, claim, write_new

if TYPE_CHECKING:
    from setsolver.output.album import Sheet
    from setsolver.render.save import Intent
    from setsolver.usecases.album_condition import Condition

__all__ = ["ALBUM_FILE", "load_album", "write_album"]

ALBUM_FILE: Final = "album.json"
BOOK, SCREEN, OVERVIEW, COVER = "album.pdf", "screen.pdf", "overview.pdf", "cover.jpg"
COVER_PIXELS: Final = 480
SCREEN_PPI: Final = 110.0
THUMB_PPI: Final = 200.0
_KEPT: Final = Kept(ALBUM_FILE, most=100_000_000, verb="album")
_MOST_SIDECAR: Final = 4_000_000
_MOST_TITLE: Final = 120
Told = Callable[[str, int, int], None]


def load_album(path: Path) -> Album:
    """Read an album from its folder or file.

    Raises
    ------
    BadInput
        Where there is none, or the document is not of this format and version.
    """
    return document_in(path, Album, _KEPT)


def write_album(  # noqa: PLR0913 - of what, where, how
    album: Album,
    catalog: Path,
    out: Path,
    *,
    ppi: float = 300.0,
    profile: Path | None = None,
    intent: Intent = "relative",
    pictures: bool = True,
    workers: int | None = None,
    apart: bool = False,
    columns: bytes = b"",
    progress: Told = lambda *_: None,
    heed: Callable[[], None] = lambda: None,
) -> Album:
    """Write an album's folder and return its document with what lies beside it.

    Parameters
    ----------
    catalog : where the originals are. out : new or empty. profile : ICC profile of the printing condition, to which
        pictures are converted where it is for RGB. intent : of that conversion.
    pictures : False writes the document alone. workers : pictures made at the same time.
    apart : make them in processes of their own, so that a file that crashes its decoder ends in a sentence.
    columns : spreads that were proven on the way, kept beside it for later changes.
    heed : called while pictures are made; what it raises ends the work, and nothing is left of it.

    Raises
    ------
    BadInput
        Where the folder cannot be used. FrameRefused : where a picture cannot be made.
    """
    outside(out, catalog)
    album = _with_titles(album, catalog)
    condition = condition_of(profile, intent)
    with building(out) as part:
        if pictures and album.spreads:
            with TemporaryDirectory(prefix=".setsolver-", dir=part) as folder:
                wish = Wish(condition.pictures, ppi, "jpeg")
                made = make_pictures(album, catalog, Path(folder), wish, progress, workers, apart=apart, heed=heed)
                about = _about(album, condition)
                files = (*_pdfs(album, made, about, part, progress), _cover(made[1, 0], part))
            said = tuple(f"{r.source}: {w}" for m in made.values() for r in (m.record,) for w in r.warnings)
            left = tuple(f"{path}: its caption finds no white under the picture" for path in captions_left_out(album))
            gamut = said_of_gamut([one.record for one in made.values()])
            notes = (*album.notes, *condition.notes, *gamut, *said, *left)
            album = album.model_copy(update={"files": files, "notes": notes})
        if columns and album.spreads:
            write_new(part / COLUMNS, columns)
            made_of = FileMade(file=COLUMNS, digest=xxh3_128(columns).hexdigest())
            album = album.model_copy(update={"files": (*album.files, made_of)})
        write_new(part / ALBUM_FILE, as_json(album))
    return album


def _with_titles(album: Album, catalog: Path) -> Album:
    """Return an album whose pictures without a caption have the title of their metadata, as its brief asks."""
    wish = brief_of(album).album
    if wish is None or wish.captions != "titles":
        return album
    spreads = tuple(
        spread.model_copy(
            update={
                "frames": tuple(
                    frame if frame.caption else frame.model_copy(update={"caption": _title(catalog, frame.path)})
                    for frame in spread.frames
                )
            }
        )
        for spread in album.spreads
    )
    return album.model_copy(update={"spreads": spreads})


def _title(catalog: Path, path: str) -> str:
    """Return the title in a frame's sidecar, or else in its file."""
    file = to_file(catalog, path)
    beside = sidecar_of(file)
    packets = []
    with suppress(OSError, BadInput):  # a book can do without the title of a sidecar that cannot be read
        packets += [] if beside is None else [read_within(beside, _MOST_SIDECAR)]
    packets += [packet] if (packet := facts_of(file).xmp) is not None else []
    return next((title[:_MOST_TITLE] for title in map(title_of, packets) if title), "")


def _cover(made: Made, out: Path) -> FileMade:
    """Write the first picture small, for pages that list albums."""
    data = smaller(made, 10.0, COVER_PIXELS / 10.0 * CM_PER_INCH).jpeg
    write_new(out / COVER, data)
    return FileMade(file=COVER, digest=xxh3_128(data).hexdigest())


def outside(out: Path, catalog: Path) -> None:
    """Refuse a folder inside the catalog, where its pictures would be taken for frames."""
    if out.resolve().is_relative_to(catalog.resolve()):
        raise BadInput(f"{out} lies in the catalog {catalog}; name a folder elsewhere with --out")


def as_json(album: Album) -> bytes:
    """Return the document's bytes."""
    return json.dumps(album.model_dump(mode="json"), indent=1, ensure_ascii=True, allow_nan=False).encode()


def _about(album: Album, condition: Condition) -> About:
    brief = brief_of(album)
    return About(
        title=brief.title or brief.name,
        tool=album.tool,
        made=datetime.fromisoformat(album.made),
        srgb=srgb_profile(),
        author=brief.photographer,
        intent=condition.intent,
        condition=condition.name,
        pictures=condition.of_pictures,
    )


def _pdfs(
    album: Album, made: dict[tuple[int, int], Made], about: About, out: Path, progress: Told
) -> tuple[FileMade, ...]:
    brief = brief_of(album)
    sheets = album_sheets(album, brief.title, brief.photographer)

    def whole(picture: Picture) -> Drawn:
        return made[picture.key].drawn()

    def screen(picture: Picture) -> Drawn:
        return smaller(made[picture.key], picture.at.width_cm, SCREEN_PPI)

    def thumb(picture: Picture) -> Drawn:
        return smaller(made[picture.key], picture.at.width_cm, THUMB_PPI)

    plain = replace(about, intent=None, condition="sRGB", pictures=about.srgb)
    jobs: list[tuple[str, tuple[Sheet, ...], Callable[[Picture], Drawn], About, bool]] = [
        (BOOK, sheets, whole, about, True),
        (SCREEN, sheets, screen, plain, False),
        (OVERVIEW, overview_sheets(album, brief.title or brief.name), thumb, plain, False),
    ]
    files = []
    for number, (name, pages, draw, said, marks) in enumerate(jobs):
        progress("pages", number, len(jobs))
        with aside(out / name) as part:
            album_pdf(part, pages, draw, said, marks=marks)
            claim(part, out / name)
        with (out / name).open("rb") as stream:
            files.append(FileMade(file=name, digest=whole_digest(stream).hex()))
    progress("pages", len(jobs), len(jobs))
    return tuple(files)
