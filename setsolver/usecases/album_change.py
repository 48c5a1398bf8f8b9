"""An album opened again: frames pinned or barred, spreads locked or exchanged, fewer spreads, and what that costs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from setsolver.domain.book import book_score
from setsolver.domain.book_rules import broken_sequence
from setsolver.domain.brief import Brief
from setsolver.errors import BadInput, NoSet
from setsolver.rules.words import count, in_a_row, number
from setsolver.solver.book import BookFound
from setsolver.usecases.album import AlbumSession
from setsolver.usecases.album_columns import columns_in, kept_columns
from setsolver.usecases.album_document import told, without_book
from setsolver.usecases.effort import Effort
from setsolver.usecases.reopened import brief_of

if TYPE_CHECKING:
    from setsolver.domain.album import Album
    from setsolver.domain.book import Spread
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Change", "change_album", "make_album"]


@dataclass(frozen=True, slots=True)
class Change:
    """What is asked of an album. lock : numbers of spreads. swap : two numbers. spreads : least and most."""

    pin: tuple[str, ...] = ()
    bar: tuple[str, ...] = ()
    lock: tuple[int, ...] = ()
    swap: tuple[int, int] | None = None
    spreads: tuple[int, int] | None = None

    def __bool__(self) -> bool:
        """Return whether anything is asked."""
        return bool(self.pin or self.bar or self.lock or self.swap or self.spreads)


def make_album(
    snapshot: Snapshot,
    brief: Brief,
    effort: Effort = Effort(),
    change: Change = Change(),
    keep: Callable[[bytes], None] = lambda _: None,
) -> Album:
    """Return a new album's document; where none can be, why. keep : given what a later change of it begins with."""
    if change.lock or change.swap:
        raise BadInput("--lock and --swap speak of an album that is there; name its folder or its album.json")
    try:
        session = AlbumSession(snapshot, _asked(brief, change), effort)
    except NoSet as error:
        return without_book(snapshot, brief, error)
    document = session.document()
    keep(session.columns())
    return document


def change_album(
    album: Album,
    snapshot: Snapshot,
    change: Change,
    effort: Effort = Effort(),
    kept: Path | None = None,
    keep: Callable[[bytes], None] = lambda _: None,
) -> Album:
    """Return an album changed as asked, and in its ``changes`` what that costs.

    Locked spreads stay as they are, the rest is chosen again, beginning with the book as it was and with the spreads
    that were proven for it. Two spreads that are exchanged are, and nothing else.

    Parameters
    ----------
    kept : the album's folder, where those spreads are. keep : given what a later change begins with.

    Raises
    ------
    BadInput
        Where there is no spread of a number, or the catalog is not as it was.
    """
    if not album.spreads:
        raise BadInput("this album holds no book; make one from its catalog")
    for one in (*change.lock, *(change.swap or ())):
        if not 1 <= one <= len(album.spreads):
            raise BadInput(f"there is no spread {one}; the album has {len(album.spreads)}, the first is 1")
    brief = _asked(brief_of(album), change)
    try:
        session = AlbumSession(snapshot, brief, effort)
    except NoSet as error:
        return without_book(snapshot, brief, error)
    before = session.spreads_of(album)
    known = columns_in(kept, session.event.book) if kept is not None else ()
    if change.swap:
        keep(kept_columns(session.event.book, known))  # nothing was proven anew, and nothing is worth less
        return _swapped(album, session, before, change.swap)
    held = [before[n - 1] for n in change.lock] + [b for b, s in zip(before, album.spreads, strict=True) if s.locked]
    session.lock(held)
    found = session.solve(known=known, earlier=before)
    after = session.document(found)
    keep(session.columns())
    return after.model_copy(update={"changes": (*album.changes, *_costs(session, album, before, found))})


def _asked(brief: Brief, change: Change) -> Brief:
    frames = brief.frames.model_copy(
        update={
            "include": (*(path for path in brief.frames.include if path not in change.bar), *change.pin),
            "exclude": (*(path for path in brief.frames.exclude if path not in change.pin), *change.bar),
        }
    )
    update: dict[str, object] = {"frames": frames}
    if change.spreads and brief.album is not None:
        update["album"] = type(brief.album).model_validate({**brief.album.model_dump(), "spreads": change.spreads})
    return brief.model_copy(update=update)


def _costs(session: AlbumSession, album: Album, before: Sequence[Spread], found: BookFound) -> tuple[str, ...]:
    if not found.spreads or album.score is None:
        return ()
    score = book_score(session.event.book, before)
    gained = found.score - score
    paths = session.snapshot.frames
    was, is_ = ({frame for spread in book for frame in spread.frames} for book in (before, found.spreads))
    same = len(set(before) & set(found.spreads))
    what = f"{'gains' if gained >= 0 else 'costs'} {abs(gained):.1f}"
    stay = f"{same} of {count(len(before), 'spread')} stay as they were"
    says = [f"{number(score)} points before, {number(found.score)} now: {what}; {stay}"]
    for word, frames in (("out", was - is_), ("in", is_ - was)):
        if frames:
            names = sorted(paths[frame].path for frame in frames)
            more = f" and {len(names) - 8} more" if len(names) > 8 else ""
            says.append(f"{word}: {', '.join(names[:8])}{more}")
    return tuple(says)


def _swapped(album: Album, session: AlbumSession, before: tuple[Spread, ...], swap: tuple[int, int]) -> Album:
    """Return the album with two spreads exchanged, as wished, whatever order that makes."""
    one, two = (n - 1 for n in swap)
    after = list(before)
    after[one], after[two] = after[two], after[one]
    book = session.event.book
    old, new = book_score(book, before), book_score(book, after)
    broken = [rule for rule in broken_sequence(book, after) if rule not in broken_sequence(book, before)]
    bound = album.bound if album.bound is not None else float("inf")
    found = BookFound(tuple(after), new, max(bound, new), "feasible", 0.0, pool=before, greedy=album.greedy)
    what = f"{'gains' if new >= old else 'costs'} {abs(new - old):.1f} points"
    says = f"spreads {swap[0]} and {swap[1]} exchanged at your wish: {what}"
    rules = {
        "order": "the order of time",
        "kind": "no kind thrice running",
        "opening": "the opening",
        "closing": "the closing",
    }
    kept = dict.fromkeys(rules.get(rule.rule, str(rule)) for rule in broken)
    if kept:
        says += f"; gives up {in_a_row(list(kept))}"
    document = told(session.event, found)
    return document.model_copy(
        update={"changes": (*album.changes, says), "columns": album.columns, "seconds": album.seconds}
    )
