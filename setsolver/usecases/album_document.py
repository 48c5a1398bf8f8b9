"""A book as a document: its spreads with their pictures and ledgers, what else could stand there, and the whole."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver import __version__
from setsolver.domain.album import Album, AlbumFrame, AlbumSpread, OtherSpread, PageSize
from setsolver.domain.book import Book, Spread, book_score, pace_of, uneven
from setsolver.domain.book_rules import broken_sequence
from setsolver.domain.outcome import STATUS, Clashing, Correction, LedgerLine, ToneRecord
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import NoSet
from setsolver.layout.pages import mirrored
from setsolver.rules import correction, ledger
from setsolver.rules.term import GainTerm
from setsolver.rules.words import count
from setsolver.solver.book import BookFound
from setsolver.usecases.album_book import Event, wish_of
from setsolver.usecases.album_chapters import chapters_of
from setsolver.usecases.album_clash import clashes_of
from setsolver.usecases.outcome import look_of

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.plan import Placed
    from setsolver.domain.snapshot import Snapshot

__all__ = ["told", "without_book"]

OTHERS = 3
LOOKED_AT = 400
HURRIED = (
    "time ended the search before its work was done: on a machine with less to do, or with a longer --time-limit, "
    "another book may be found"
)


def without_book(snapshot: Snapshot, brief: Brief, error: NoSet) -> Album:
    """Return the document of an album that cannot be, as was known before any search."""
    return Album(
        **_head(snapshot, brief),
        considered=0,
        status="none",
        seconds=0.0,
        ruled_out=error.ruled_out,
        conflict=error.clashes or (Clashing(rule="album", says=str(error)),),
    )


def _head(snapshot: Snapshot, brief: Brief) -> dict[str, Any]:
    wish = wish_of(brief)
    return {
        "made": datetime.now().astimezone().isoformat(timespec="seconds"),
        "tool": f"setsolver {__version__}",
        "brief": brief.model_dump(mode="json"),
        "catalog": snapshot.folder,
        "catalog_frames": len(snapshot.frames),
        "page": PageSize(
            width_cm=wish.page_cm[0],
            height_cm=wish.page_cm[1],
            bleed_mm=wish.bleed_mm,
            safe_mm=wish.safe_mm,
            gutter_mm=wish.gutter_mm,
        ),
    }


def told(event: Event, found: BookFound, locked: Sequence[Spread] = ()) -> Album:
    """Return what was found as a document."""
    book = event.book
    there = bool(found.spreads)
    spreads = tuple(
        _spread(event, found, number, spread, locked=spread in locked) for number, spread in enumerate(found.spreads)
    )
    return Album(
        **_head(event.snapshot, event.brief),
        considered=len(np.unique(book.problem.frame)),
        status=STATUS[found.status],
        score=found.score if there else None,
        bound=found.bound if there and np.isfinite(found.bound) else None,
        gap=found.gap if there and np.isfinite(found.bound) else None,
        greedy=found.greedy,
        columns=found.columns,
        seconds=found.seconds,
        hurried=found.hurried,
        chapters=chapters_of(event, found.spreads) if there else (),
        spreads=spreads,
        ledger=_ledger(book, found.spreads) if there else (),
        conflict=() if there else clashes_of(event, found),
        ruled_out=event.assembly.ruled_out,
        notes=(*event.notes, *event.assembly.notes, *([HURRIED] if found.hurried else [])),
    )


def _spread(event: Event, found: BookFound, number: int, spread: Spread, *, locked: bool) -> AlbumSpread:
    kind = event.kinds[spread.kind]
    look = look_of(event.assembly, spread.look)
    mirror = kind.mirror and _mirrored(event, spread, number)
    return AlbumSpread(
        number=number + 1,
        chapter=int(event.book.chapter[spread.first]) + 1,
        kind=kind.name,
        pace=kind.pace,
        mirrored=mirror,
        locked=locked,
        score=spread.score,
        look=ToneRecord(**look._asdict()),
        frames=_frames(event, spread, mirror=mirror),
        ledger=_lines(event, spread),
        others=_others(event, found, number),
    )


def _mirrored(event: Event, spread: Spread, number: int) -> bool:
    """Return whether the lead stands on the right: where its face would look out of the left page, else by turns."""
    lead = event.assembly.renditions[spread.rows[int(np.argmin(spread.roles))]]
    faces = sorted(lead.frame.measures.faces, key=lambda face: -face.box.area)
    if faces and faces[0].facing != "front":
        return faces[0].facing == "left"
    return number % 2 == 1


def _frames(event: Event, spread: Spread, *, mirror: bool) -> tuple[AlbumFrame, ...]:
    """Return the pictures of a spread; those of one slot stand in the order of time as one reads."""
    taken: list[AlbumFrame] = []
    for role, places in enumerate(event.places[spread.kind]):
        rows = [row for row, own in zip(spread.rows, spread.roles, strict=True) if own == role]
        rows.sort(key=lambda row: int(event.book.rank[row]))
        stand = [(name, mirrored(at, event.wish) if mirror else at) for name, at in places]
        stand.sort(
            key=lambda named: (named[1].x_cm >= event.wish.page_cm[0] - 1e-6, round(named[1].y_cm, 2), named[1].x_cm)
        )
        taken += [_frame(event, spread, row, name, at) for row, (name, at) in zip(rows, stand, strict=True)]
    return tuple(taken)


def _frame(event: Event, spread: Spread, row: int, name: str, at: Placed) -> AlbumFrame:
    rendition = event.assembly.renditions[row]
    frame, tone = rendition.frame, event.brief.tone
    amounts = correction(look_of(event.assembly, spread.look), rendition.tone, tone.slack, tone.treatment)
    return AlbumFrame(
        path=frame.path,
        slot=name,
        place=at,
        crop=tuple(rendition.crop),
        level_degrees=rendition.level,
        treatment=rendition.treatment,
        width=frame.width,
        height=frame.height,
        crop_width=rendition.width,
        crop_height=rendition.height,
        ppi=rendition.width / (at.width_cm / CM_PER_INCH),
        tone=ToneRecord(**rendition.tone._asdict()),
        correction=Correction(**amounts._asdict()),
        time=frame.shot.taken,
        caption=_caption(event, frame.path, frame.shot.keywords),
    )


def _caption(event: Event, path: str, keywords: tuple[str, ...]) -> str:
    said = event.brief.captions.get(path)
    if said is not None:
        return said
    if event.wish.captions == "keywords":
        return ", ".join(word for word in keywords if ":" not in word)[:120]
    return ""


def _lines(event: Event, spread: Spread) -> tuple[LedgerLine, ...]:
    """Return a spread's ledger: a picture's points by its share of the area, an axis's by one over the pictures."""
    assembly, kind = event.assembly, event.book.kinds[spread.kind]
    roles = [kind.slots[role] for role in spread.roles]
    share = {
        assembly.renditions[row].frame.path: kind.shares[role]
        for row, role in zip(spread.rows, spread.roles, strict=True)
    }
    gains = {term.name for term in assembly.terms if isinstance(term, GainTerm)}
    return tuple(
        line.model_copy(
            update={"points": line.points * (share[line.frames[0]] if line.rule in gains else 1 / kind.size)}
        )
        for line in ledger(assembly, spread.rows, roles, spread.look)
    )


def _ledger(book: Book, spreads: Sequence[Spread]) -> tuple[LedgerLine, ...]:
    """Return the book's ledger: a line a spread, pace, empty pages, and how evenly people are spread."""
    lines = [
        LedgerLine(
            rule="spread",
            points=spread.score,
            frames=(),
            says=f"spread {number}: {book.kinds[spread.kind].name}, {count(len(spread.rows), 'picture')}",
        )
        for number, spread in enumerate(spreads, start=1)
    ]
    alike = pace_of(spreads)
    full = sum(spread.full for spread in spreads)
    after = f"{alike or 'none'} follow{'s' if alike == 1 else ''} one of the same pace"
    says = f"{full} full and {len(spreads) - full} quiet; {after}"
    lines.append(LedgerLine(rule="pace", points=-book.pace * alike + 0.0, frames=(), says=says))
    left = sum(book.kinds[spread.kind].empty for spread in spreads)
    says = f"{count(left, 'spread')} with a page left empty" if left else "no page is left empty"
    lines.append(LedgerLine(rule="empty", points=-book.empty * left + 0.0, frames=(), says=says))
    beyond = uneven(book, spreads)
    if book.people > 0 and len(book.usual) and np.isfinite(book.usual).any():
        far = float(beyond.sum())
        says = "people are shown in every chapter about as often as they were there"
        if far > 0:
            says = f"{far:.1f} pictures beyond what chapters may show people too often or too seldom"
        lines.append(LedgerLine(rule="people", points=-book.people * far + 0.0, frames=(), says=says))
    return tuple(lines)


def _others(event: Event, found: BookFound, number: int) -> tuple[OtherSpread, ...]:
    """Return the best other spreads for a place among those that were proven on the way."""
    book, spreads = event.book, list(found.spreads)
    before = spreads[number - 1].order if number else (-1,)
    after = spreads[number + 1].order if number + 1 < len(spreads) else (len(book.chapter),)
    own = spreads[number]
    near = [s for s in found.pool if before <= s.order <= after and set(s.frames) != set(own.frames)]
    near.sort(key=lambda s: -s.score)
    score = book_score(book, spreads)
    offered: list[OtherSpread] = []
    told_of: list[set[int]] = [set(own.frames)]
    for other in near[:LOOKED_AT]:
        if any(len(set(other.frames) & earlier) * 2 > len(other.frames) for earlier in told_of[1:]):
            continue
        changed = [*spreads[:number], other, *spreads[number + 1 :]]
        if broken_sequence(book, changed):
            continue
        told_of.append(set(other.frames))
        paths = tuple(event.snapshot.frames[frame].path for frame in other.frames)
        offered.append(
            OtherSpread(kind=event.kinds[other.kind].name, frames=paths, points=book_score(book, changed) - score)
        )
        if len(offered) == OTHERS:
            break
    return tuple(sorted(offered, key=lambda other: -other.points))
