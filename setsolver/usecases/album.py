"""An album from a measured catalog, kept warm: solved, changed, and opened again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.album import Album, AlbumSpread
from setsolver.domain.book import Book, Spread
from setsolver.errors import BadInput
from setsolver.solver.book import BookFound, solve_book
from setsolver.usecases.album_book import Event, make_event, wish_of
from setsolver.usecases.album_columns import kept_columns
from setsolver.usecases.album_document import told
from setsolver.usecases.effort import Effort

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.snapshot import Snapshot

__all__ = ["AlbumSession"]


@dataclass(eq=False)
class AlbumSession:
    """A catalog with an album brief, kept warm: spreads proven once are known to every later question."""

    snapshot: Snapshot
    brief: Brief
    effort: Effort = Effort()
    _pool: tuple[Spread, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        """Make the problem; raises as ``make_event``."""
        self.event: Event = make_event(self.snapshot, self.brief)
        self.found: BookFound | None = None
        self.locked: tuple[Spread, ...] = ()

    def pin(self, *paths: str) -> None:
        """Let frames be in the book, by path or glob. Raises BadBrief where there is no such frame."""
        self._wish(include=(*self.brief.frames.include, *paths))

    def bar(self, *paths: str) -> None:
        """Let frames be out of it. Raises as ``pin``."""
        self._wish(exclude=(*self.brief.frames.exclude, *paths))

    def shorten(self, least: int, most: int) -> None:
        """Ask for other numbers of spreads."""
        wish = wish_of(self.brief)
        spreads = self.brief.album and type(wish).model_validate({**wish.model_dump(), "spreads": (least, most)})
        self._renew(self.brief.model_copy(update={"album": spreads}))

    def lock(self, spreads: Sequence[Spread]) -> None:
        """Keep spreads as they are in every later answer."""
        self.locked = tuple(dict.fromkeys([*self.locked, *spreads]))

    def solve(self, known: Sequence[Spread] = (), earlier: Sequence[Spread] = ()) -> BookFound:
        """Return the best book under the wishes as they are now.

        known : spreads from earlier. earlier : the book from which this one is changed, where the search begins.
        """
        pool = dict.fromkeys([*known, *self._pool])
        barred = set(self.event.book.problem.exclude.tolist())
        found = solve_book(
            self.event.book,
            time_limit=self.effort.time_limit,
            seed=self.effort.seed,
            workers=self.effort.workers,
            work=self.effort.work,
            locked=self.locked,
            known=[spread for spread in pool if not barred & set(spread.frames)],
            earlier=[spread for spread in earlier if not barred & set(spread.frames)],
            progress=self.effort.progress,
            stop=self.effort.stop,
        )
        self._pool = found.pool
        self.found = found
        return found

    def document(self, found: BookFound | None = None) -> Album:
        """Return the album's document; solves where nothing was asked yet."""
        return told(self.event, found or self.found or self.solve(), self.locked)

    def columns(self) -> bytes:
        """Return the spreads that are known by now as a file, with which a later change begins."""
        return kept_columns(self.event.book, self._pool)

    def spreads_of(self, album: Album) -> tuple[Spread, ...]:
        """Return the spreads of a document as this session knows them.

        Raises
        ------
        BadInput
            Where a picture of it is no rendition of this catalog any more.
        """
        return tuple(_known(self.event, spread) for spread in album.spreads)

    def _wish(self, **wishes: tuple[str, ...]) -> None:
        frames = self.brief.frames.model_copy(update=wishes)
        self._renew(self.brief.model_copy(update={"frames": frames}))

    def _renew(self, brief: Brief) -> None:
        """Take another brief; what is known stays where the renditions are the same."""
        before = self.event
        self.event = make_event(self.snapshot, brief)
        self.brief = brief
        if self.event.book.problem.renditions != before.book.problem.renditions:
            self._pool = ()
        elif len(self.event.book.chapter) != len(before.book.chapter) or not np.array_equal(
            self.event.book.passage, before.book.passage
        ):
            self._pool = tuple(_again(self.event.book, spread) for spread in self._pool)
            self.locked = tuple(_again(self.event.book, spread) for spread in self.locked)


def _again(book: Book, spread: Spread) -> Spread:
    """Return a spread with its passages as they are numbered now."""
    passages = book.passage[list(spread.rows)]
    return replace(spread, first=int(passages.min()), last=int(passages.max()))


def _known(event: Event, spread: AlbumSpread) -> Spread:
    from setsolver.domain.book import spread_of  # noqa: PLC0415 - one way in

    book, assembly = event.book, event.assembly
    names = [kind.name for kind in event.kinds]
    if spread.kind not in names:
        raise BadInput(f"spread {spread.number}: there is no spread kind {spread.kind!r} any more; make the album anew")
    kind = names.index(spread.kind)
    rows: list[int] = []
    roles: list[int] = []
    for frame in spread.frames:
        at = next((one for one in event.snapshot.frames if one.path == frame.path), None)
        if at is None:
            raise BadInput(
                f"spread {spread.number}: {frame.path} is no frame of the catalog any more; make the album anew"
            )
        mine = np.flatnonzero(book.problem.frame == at.id)
        crops = np.array([assembly.renditions[row].crop for row in mine]).reshape(-1, 4)
        near = mine[np.abs(crops - np.array(frame.crop)).max(axis=1, initial=0.0) < 1e-6]
        role = next(
            (
                r
                for r, places in enumerate(event.places[kind])
                if frame.slot in {name for name, _ in places} and _free(event, kind, r, roles)
            ),
            None,
        )
        able = [
            row
            for row in near.tolist()
            if role is not None and not np.isnan(book.problem.gain[row, book.kinds[kind].slots[role]])
        ]
        if role is None or not able:
            raise BadInput(
                f"spread {spread.number}: {frame.path} is not cut so any more (it was measured again, or the brief "
                "changed); make the album anew"
            )
        rows.append(able[0])
        roles.append(role)
    return spread_of(book, kind, rows, roles)


def _free(event: Event, kind: int, role: int, taken: Sequence[int]) -> bool:
    return taken.count(role) < event.book.kinds[kind].counts[role]
