"""From a catalog and an album brief to the book's problem: chapters, passages, the slots of all pages, one assembly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.book import Book, BookKind
from setsolver.domain.book_rules import SPARE
from setsolver.domain.measures import SCALES
from setsolver.domain.slot import Slot
from setsolver.errors import BadBrief, NoSet
from setsolver.layout.pages import Part, leaves_a_page, on_pages
from setsolver.rules import Assembly, assemble
from setsolver.rules.roles import matches
from setsolver.rules.wishes import frames_named
from setsolver.rules.words import count
from setsolver.usecases.album_passages import chapters_in, passages_in, ranks_of
from setsolver.usecases.spread_kinds import kinds_for

if TYPE_CHECKING:
    from setsolver.domain.album_wish import AlbumWish, EndWish
    from setsolver.domain.brief import Brief
    from setsolver.domain.frame import Frame
    from setsolver.domain.plan import Placed
    from setsolver.domain.problem import Floats, Ints
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.spread_kind import SpreadKind

__all__ = ["Event", "make_event"]

ANY = "path:*"
SHOWS = 0.5
SELDOM = 0.1
"""Share of a chapter's frames with people under which nothing is asked of its spreads."""
SURE_ROLE = 0.5


@dataclass(frozen=True, eq=False)
class Event:
    """An album's problem with everything needed to speak about it.

    assembly : all frames in all slots. book : its arrays. kinds : in the book's order. places : of each kind, for each
    of its slots the name of the part and the places. chapters : number of frames and the first and last frame of each,
    by id. notes : sentences.
    """

    snapshot: Snapshot
    brief: Brief
    assembly: Assembly
    book: Book
    kinds: tuple[SpreadKind, ...]
    places: tuple[tuple[tuple[tuple[str, Placed], ...], ...], ...]
    chapters: tuple[tuple[int, ...], ...]
    notes: tuple[str, ...]

    @property
    def wish(self) -> AlbumWish:
        """The brief's album."""
        return wish_of(self.brief)


def wish_of(brief: Brief) -> AlbumWish:
    """Return the album of a brief.

    Raises
    ------
    BadBrief
        Where it is a brief for prints.
    """
    if brief.album is None:
        raise BadBrief(
            f"{brief.name} is a brief for prints: it has no [album]; name one that has, such as story-album, or add "
            "[album] with page_cm and spreads to it"
        )
    return brief.album


def make_event(snapshot: Snapshot, brief: Brief) -> Event:
    """Return the problem of an album.

    Raises
    ------
    BadBrief
        Where it is no album's, or does not fit the catalog. NoSet : where it is known already that there is no book.
    """
    wish = wish_of(brief)
    kinds = kinds_for(wish)
    parts = {name: on_pages(kind, wish) for name, kind in kinds.items()}
    slots, index = _slots(brief, parts)
    rank, notes = ranks_of(snapshot, wish)
    _enough(snapshot, wish)
    needed = max(1, ceil((wish.density[0] - SPARE) * wish.spreads[0]))  # in 64 bits, 1.12 times 25 is more than 28
    sized = brief.model_copy(update={"size": needed})
    assembly = assemble(snapshot, sized, modest=True, slots=slots)
    frame_of = assembly.problem.frame
    left = len(np.unique(frame_of))
    if left < needed:
        out = "; ".join(rule.in_full for rule in assembly.ruled_out)
        raise NoSet(
            f"{count(left, 'frame')} of {len(snapshot.frames)} can be used, and {count(wish.spreads[0], 'spread')} of "
            f"{wish.density[0]:g} pictures or more need {needed}: {out or 'all others are out'}; ask for fewer spreads",
            assembly.ruled_out,
            assembly.reasons,
        )
    chapters = chapters_in(snapshot, rank, np.unique(frame_of), wish.most_chapters)
    passage, chapter = passages_in(snapshot, chapters, wish.spreads[1])
    shows = np.array([_shows(frame) for frame in snapshot.frames])
    problem = replace(
        assembly.problem,
        include=_pinned(assembly, brief),
        exclude=frames_named("exclude", brief.frames.exclude, snapshot),
        size=1,
    )
    book = Book(
        problem=problem,
        kinds=tuple(_kind(kinds[name], parts[name], index, wish) for name in kinds),
        passage=passage[frame_of],
        chapter=chapter,
        rank=rank[frame_of],
        spreads=wish.spreads,
        density=wish.density,
        group=problem.group,
        group_cap=problem.group_cap,
        shows=shows[frame_of],
        usual=_usual(shows, chapters),
        pace=wish.pace,
        people=wish.people,
        empty=wish.empty,
        **_ends(assembly, wish, list(kinds)),  # type: ignore[arg-type]  # arrays by name
    )
    places = tuple(_places(parts[name], index) for name in kinds)
    return Event(snapshot, brief, assembly, book, tuple(kinds.values()), places, chapters, notes)


def _places(parts: Sequence[Part], index: Mapping[Part, int]) -> tuple[tuple[tuple[str, Placed], ...], ...]:
    slots = dict.fromkeys(index[part] for part in parts)
    return tuple(
        tuple((part.name, at) for part in parts if index[part] == slot for at in part.places) for slot in slots
    )


def _slots(brief: Brief, parts: Mapping[str, Sequence[Part]]) -> tuple[tuple[Slot, ...], dict[Part, int]]:
    """Return every slot that some kind has, each once, and the slot of each part."""
    own = {slot.called: slot for slot in brief.slot}
    known = {part.name for of_kind in parts.values() for part in of_kind}
    for name in own:
        if name not in known:
            raise BadBrief(
                f"slot {name}: no spread kind has a place of that name; their names are {', '.join(sorted(known))}"
            )
    slots: dict[tuple[object, ...], Slot] = {}
    index: dict[Part, int] = {}
    for part in (part for of_kind in parts.values() for part in of_kind):
        wish = own.get(part.name)
        role = (wish.role if wish else None) or part.role
        match = (wish.match if wish else None) or (None if role else ANY)
        ppi = (wish.min_ppi if wish else None) or brief.min_ppi
        key = role, match, part.cut, part.print_cm, ppi
        if key not in slots:
            slots[key] = Slot(
                name=f"{part.name} {len(slots) + 1}",
                role=role or part.name,
                match=match,
                least=0,
                most=200,
                aspect=part.aspect,
                print_cm=part.print_cm,
                min_ppi=ppi,
                margin=part.cut.margin,
                strip=part.cut.strip,
            )
        index[part] = list(slots).index(key)
    return tuple(slots.values()), index


def _kind(kind: SpreadKind, parts: Sequence[Part], index: Mapping[Part, int], wish: AlbumWish) -> BookKind:
    """Return a kind as the solver sees it; parts of one slot are one."""
    area = sum(part.area_cm2 * len(part.places) for part in parts)
    slots = tuple(dict.fromkeys(index[part] for part in parts))
    alike = [[part for part in parts if index[part] == slot] for slot in slots]
    return BookKind(
        name=kind.name,
        slots=slots,
        counts=tuple(sum(len(part.places) for part in own) for own in alike),
        shares=tuple(own[0].area_cm2 / area for own in alike),
        full=kind.pace == "full",
        empty=leaves_a_page(parts, wish),
    )


def _enough(snapshot: Snapshot, wish: AlbumWish) -> None:
    frames = len(snapshot.frames)
    if frames < wish.spreads[0]:
        raise NoSet(
            f"{count(frames, 'frame')} for at least {count(wish.spreads[0], 'spread')}; ask for "
            f"{count(frames, 'spread')} or fewer under [album], or add frames"
        )


def _shows(frame: Frame) -> bool:
    people = frame.measures.people
    return bool(frame.measures.faces) or (people is not None and people >= SHOWS)


def _usual(shows: np.ndarray, chapters: Sequence[Sequence[int]]) -> Floats:
    share = np.array([shows[list(chapter)].mean() for chapter in chapters])
    return np.where(share < SELDOM, np.nan, share)


def _pinned(assembly: Assembly, brief: Brief) -> Ints:
    pinned = frames_named("include", brief.frames.include, assembly.snapshot)
    for frame in np.setdiff1d(pinned, assembly.problem.frame).tolist():
        path = assembly.snapshot.frames[frame].path
        why = assembly.reasons.get(frame, "no place on any spread takes it")
        raise NoSet(f"{path} must be in, but {why}; take it out of frames.include, or let a kind have room for it")
    return pinned


def _ends(assembly: Assembly, wish: AlbumWish, names: list[str]) -> dict[str, np.ndarray]:
    found: dict[str, np.ndarray] = {}
    for key, rows, end in (("opens", "leads", wish.opening), ("closes", "ends", wish.closing)):
        if end.kinds:
            found[key] = np.array([name in end.kinds for name in names])
        if end.role or end.match:
            found[rows] = np.array([_leads(assembly, row, end) for row in range(assembly.problem.renditions)])
    return found


def _leads(assembly: Assembly, row: int, end: EndWish) -> bool:
    rendition = assembly.renditions[row]
    frame = rendition.frame
    if end.match is not None and not matches(frame, end.match):
        return False
    if end.role is None:
        return True
    if frame.said is not None:
        return frame.said == end.role
    return rendition.odds[SCALES.index(end.role)] >= SURE_ROLE
