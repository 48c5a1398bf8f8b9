"""What stands on each spread of a book, in centimetres from the top left corner of the trimmed sheet: no PDF yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setsolver.domain.album import Album, AlbumChapter, AlbumFrame, AlbumSpread
from setsolver.domain.plan import Placed
from setsolver.domain.units import CM_PER_INCH
from setsolver.output.album.typeface import Weight, width_of, wrapped

__all__ = ["CM", "Picture", "Rule", "Sheet", "Words", "album_sheets", "captions_left_out"]

CM: Final = 72 / CM_PER_INCH
"""Points in a centimetre."""
MM: Final = 0.1
CAPTION: Final = 7.5
TITLE: Final = 26.0
CHAPTER: Final = 15.0
UNDER: Final = 3.4
"""Millimetres from a picture to the base line of its caption."""
LEADING: Final = 1.3


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture's place. key : by which its file is found. clip : outside which it is not seen, None = the sheet."""

    key: tuple[int, int]
    at: Placed
    clip: Placed | None = None


@dataclass(frozen=True, slots=True)
class Words:
    """One line; x, y : where its base line begins, or its middle or end (``align``). grey : 0 = black."""

    text: str
    x: float
    y: float
    size: float
    weight: Weight = "Regular"
    align: str = "left"
    grey: float = 0.15


@dataclass(frozen=True, slots=True)
class Rule:
    """A rectangle filled with grey, or its outline where ``pen`` (points) is above 0."""

    at: Placed
    grey: float = 0.85
    pen: float = 0.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet before bleed. bookmark : "" for none."""

    width_cm: float
    height_cm: float
    bleed_cm: float
    pictures: tuple[Picture, ...] = ()
    words: tuple[Words, ...] = ()
    rules: tuple[Rule, ...] = ()
    bookmark: str = ""


def album_sheets(album: Album, title: str = "", by: str = "") -> tuple[Sheet, ...]:
    """Return a sheet for each spread: pictures, captions, and words on pages that are left empty for them.

    title, by : of the book; they stand on the first such page, chapters' names on those that begin a chapter.
    """
    begins = {chapter.spread: chapter for chapter in album.chapters}
    return tuple(_sheet(album, spread, begins.get(spread.number), title, by) for spread in album.spreads)


def _sheet(album: Album, spread: AlbumSpread, chapter: AlbumChapter | None, title: str, by: str) -> Sheet:
    page = album.page
    words = [line for frame in spread.frames for line in _caption(album, spread, frame)]
    empty = _empty_page(album, spread)
    if empty is not None:
        words += _on_empty(album, spread, empty, chapter, title, by)
    return Sheet(
        width_cm=2 * page.width_cm,
        height_cm=page.height_cm,
        bleed_cm=page.bleed_mm * MM,
        pictures=tuple(Picture((spread.number, at), frame.place) for at, frame in enumerate(spread.frames)),
        words=tuple(words),
        bookmark=chapter.title if chapter else "",
    )


def _empty_page(album: Album, spread: AlbumSpread) -> int | None:
    """Return the page, 0 or 1, on which no picture stands."""
    width = album.page.width_cm
    used = {0 for frame in spread.frames if frame.place.x_cm < width - 1e-6}
    used |= {1 for frame in spread.frames if frame.place.x_cm + frame.place.width_cm > width + 1e-6}
    free = {0, 1} - used
    return free.pop() if len(free) == 1 else None


def _on_empty(
    album: Album, spread: AlbumSpread, side: int, chapter: AlbumChapter | None, title: str, by: str
) -> list[Words]:
    """Return the book's title on its first empty page, a chapter's on the first of the chapter."""
    page = album.page
    middle = (side + 0.5) * page.width_cm + (0.5 - side) * page.gutter_mm * MM * 0.5 * -1
    first = spread.number == 1
    named = chapter is not None and chapter.title != f"Chapter {chapter.number}"  # a bare number is for bookmarks
    name = chapter.title if chapter is not None and named else ""
    says = title if first and title else name
    if not says:
        return []
    size = TITLE if first and title else CHAPTER
    width = (page.width_cm - 2 * page.safe_mm * MM - page.gutter_mm * MM) * 0.86 * CM
    while size > CAPTION and max(width_of(word, size) for word in says.split()) > width:
        size -= 1
    lines = wrapped(says, size, width)
    step = size * LEADING / CM
    y = page.height_cm / 2 - step * (len(lines) - 1) / 2
    found = [Words(line, middle, y + step * at, size, "Regular", "middle") for at, line in enumerate(lines)]
    if first and title:
        below = [line for line in (name, by) if line]
        y += step * len(lines) + 0.25
        found += [Words(line, middle, y + 0.5 * at, 9.5, "Regular", "middle", 0.4) for at, line in enumerate(below)]
    return found


def _caption(album: Album, spread: AlbumSpread, frame: AlbumFrame) -> list[Words]:
    """Return a picture's caption under it, where white is left for it; nothing where there is none."""
    if not frame.caption or not _white_below(album, spread, frame):
        return []
    at = frame.place
    lines = wrapped(frame.caption, CAPTION, at.width_cm * CM)[:2]
    step = CAPTION * LEADING / CM
    y = at.y_cm + at.height_cm + UNDER * MM
    return [
        Words(line, at.x_cm, y + step * number, CAPTION, grey=0.35)
        for number, line in enumerate(lines[: _room(album, spread, frame)])
    ]


def _white_below(album: Album, spread: AlbumSpread, frame: AlbumFrame) -> bool:
    return _room(album, spread, frame) > 0


def _room(album: Album, spread: AlbumSpread, frame: AlbumFrame) -> int:
    """Return how many lines find room between a picture and what is below it."""
    at, page = frame.place, album.page
    bottom = at.y_cm + at.height_cm
    floor = page.height_cm - page.safe_mm * MM
    for other in spread.frames:
        o = other.place
        beside = o.x_cm + o.width_cm <= at.x_cm + 1e-6 or o.x_cm >= at.x_cm + at.width_cm - 1e-6
        if not beside and o.y_cm >= bottom - 1e-6:
            floor = min(floor, o.y_cm - UNDER * MM * 0.6)
    step = CAPTION * LEADING / CM
    return max(0, int((floor - bottom - UNDER * MM) / step + 1 + 1e-6)) if floor - bottom >= UNDER * MM else 0


def captions_left_out(album: Album) -> tuple[str, ...]:
    """Return the paths of pictures whose caption finds no white under it."""
    return tuple(
        frame.path
        for spread in album.spreads
        for frame in spread.frames
        if frame.caption and not _white_below(album, spread, frame)
    )
