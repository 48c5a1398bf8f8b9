"""Chapters of a book: where they begin, and what they are called."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from setsolver.domain.album import AlbumChapter

if TYPE_CHECKING:
    from setsolver.domain.book import Spread
    from setsolver.usecases.album_book import Event

__all__ = ["chapters_of"]


def chapters_of(event: Event, spreads: Sequence[Spread]) -> tuple[AlbumChapter, ...]:
    """Return the chapters of a book: where each begins, how long it is, and what it is called."""
    chapters = []
    shots = [[event.snapshot.frames[frame] for frame in frames] for frames in event.chapters]
    times = [sorted(shot.shot.taken for shot in own if shot.shot.taken) for own in shots]
    days = [own[0][:10] for own in times if own]
    for number, (own, taken) in enumerate(zip(shots, times, strict=True)):
        at = [n for n, spread in enumerate(spreads) if event.book.chapter[spread.first] == number]
        chapters.append(
            AlbumChapter(
                number=number + 1,
                title=_title(
                    [shot.path for shot in own], taken, number, alone=not taken or days.count(taken[0][:10]) == 1
                ),
                spread=at[0] + 1,
                spreads=len(at),
                frames=len(own),
                begins=taken[0] if taken else None,
                ends=taken[-1] if taken else None,
            )
        )
    return tuple(chapters)


def _title(paths: Sequence[str], times: Sequence[str], number: int, *, alone: bool) -> str:
    """Return what a chapter is called: its folder's name, else its day, with the time of day where days share it."""
    folders = {PurePosixPath(path).parent.name for path in paths}
    if len(folders) == 1 and (name := folders.pop()):
        words = name.replace("_", " ").replace("-", " ").strip()
        return words.lstrip("0123456789. ").strip().capitalize() or words
    if not times:
        return f"Chapter {number + 1}"
    first, last = (datetime.fromisoformat(times[at]) for at in (0, -1))
    day = f"{first.day} {first:%B %Y}"
    if (last.date() - first.date()).days:
        return (
            f"{first.day} {first:%B} to {last.day} {last:%B %Y}"
            if first.year == last.year
            else f"{day} to {last:%B %Y}"
        )
    return day if alone else f"{day}, {_hour(first)}"


def _hour(moment: datetime) -> str:
    """Return the time of day in a word; where one ends and the next begins is common practice, no source."""
    names = ((5, "night"), (12, "morning"), (17, "afternoon"), (22, "evening"), (24, "night"))
    return next(name for until, name in names if moment.hour < until)
