"""Include means include: a wished frame is in, in a slot that it can play, or the answer says why it cannot be.

The one definition, for every question that is asked: a wished frame plays a slot by the user's own word or by measure
(``roles``). Rules that a wish waives (``Term.waived``) give way where the frame could not be in otherwise, as few of
them as can be, and the answer says so. Everything else is stronger than a wish: then the two clash.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.outcome import Clashing
from setsolver.errors import WishClash
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, in_a_row

__all__ = ["Granting", "crowds"]


class Granting(Term):
    """Grants wished frames what the rules that a wish waives would deny them, and finds wishes that have no place."""

    name = "include"
    key = "frames.include"
    rank = 29

    def apply(self, draft: Draft) -> None:
        """Grant, and say what was granted.

        Raises
        ------
        WishClash
            Where a wished frame can play no slot, or slots have no room for all that are wished; a modest draft only
            keeps the clashes.
        """
        cells = np.zeros_like(draft.able)
        for frame in draft.included:
            rows = np.flatnonzero(draft.table.frame == frame)
            if len(rows) == 0:
                draft.clashes.append(_shut_out(draft, int(frame)))
            elif not draft.able[rows].any():
                row = rows[_fewest(draft, rows, cells)]
                draft.waived[int(frame)] = _said(draft, int(frame), int(row), cells)
        draft.grant(cells)
        draft.clashes += _crowded(draft)
        if draft.clashes and not draft.modest:
            says = "; ".join(f"{clash.says} ({clash.way_out})" for clash in draft.clashes)
            raise WishClash(f"frames.include: {says}", tuple(draft.ruled_out), draft.reasons, tuple(draft.clashes))


def _fewest(draft: Draft, rows: NDArray[np.int64], cells: NDArray[np.bool_]) -> int:
    """Mark the cells of one frame that waive the fewest rules, of its largest crops where they do; return one's row."""
    broken = sum((barred.cells[rows].astype(np.int64) for barred in draft.barred.values()), np.zeros(1, dtype=np.int64))
    price = np.where(draft.grantable[rows], 2.0 * broken + (draft.table.linear[rows, None] < 1.0), np.inf)
    granted = price == price.min()
    cells[rows] = granted
    return int(np.argmax(granted.any(axis=1)))


def _said(draft: Draft, frame: int, row: int, cells: NDArray[np.bool_]) -> list[str]:
    """Return what a wish waives for one frame, a sentence for each rule."""
    crop, path = draft.table.take(np.array([row])), draft.frames[frame].path
    waived = [barred.why(crop) for barred in draft.barred.values() if (barred.cells[row] & cells[row]).any()]
    return [f"{path} is in at your wish (include), although {why}" for why in waived]


def _shut_out(draft: Draft, frame: int) -> Clashing:
    path = draft.frames[frame].path
    says = f'"{path}" cannot be used: {draft.reasons[frame]}'
    return Clashing(rule="include", says=says, way_out=draft.ways_out[frame])


def _crowded(draft: Draft) -> list[Clashing]:
    """Return a clash for slots that have less room than wished frames need."""
    rows = {int(frame): draft.able[draft.table.frame == frame].any(axis=0) for frame in draft.included}
    frames = [frame for frame, slots in rows.items() if slots.any()]
    found = crowds([np.flatnonzero(rows[frame]).tolist() for frame in frames], draft.role_max)
    return [_too_many(draft, [frames[at] for at in crowd], slots) for slots, crowd in found.items()]


def _too_many(draft: Draft, frames: list[int], slots: tuple[int, ...]) -> Clashing:
    names = in_a_row([draft.slots[slot].name for slot in slots], "or")
    room, paths = sum(draft.role_max[slot] for slot in slots), [draft.frames[frame].path for frame in frames]
    says = f"{len(frames)} {names} frames are wished, room for {room}: {in_a_row(paths)}"
    many = len(frames) - room
    way_out = f"let {names} have {len(frames)}, wish for {many} fewer, or say another scale of {count(many, 'frame')}"
    return Clashing(rule="include", says=says, way_out=way_out)


def crowds(able: Sequence[Sequence[int]], room: Sequence[int]) -> dict[tuple[int, ...], list[int]]:
    """Return who wants the same slots without room for all: by slots, everyone who can only sit there.

    Parameters
    ----------
    able : for each frame the slots that it can play. room : for each slot how many it takes.

    Notes
    -----
    Frames are seated one by one along alternating paths (H. W. Kuhn, "The Hungarian method for the assignment problem",
    1955; from memory). Where one finds no seat, the slots that its search reached are full of frames that cannot move
    elsewhere: together they break Hall's condition.
    """
    held: list[list[int]] = [[] for _ in room]
    crowded: dict[tuple[int, ...], set[int]] = {}
    for frame in range(len(able)):
        reached: set[int] = set()
        if not _seated(frame, able, room, held, reached):
            mates = {other for slot in reached for other in held[slot]}
            crowded.setdefault(tuple(sorted(reached)), set()).update(mates | {frame})
    return {slots: sorted(frames) for slots, frames in crowded.items()}


def _seated(
    frame: int, able: Sequence[Sequence[int]], room: Sequence[int], held: list[list[int]], reached: set[int]
) -> bool:
    for slot in able[frame]:
        if slot in reached:
            continue
        reached.add(slot)
        if len(held[slot]) < room[slot]:
            held[slot].append(frame)
            return True
        for other in held[slot]:
            if _seated(other, able, room, held, reached):
                held[slot].remove(other)
                held[slot].append(frame)
                return True
    return False
