"""Seats: a frame that may play one slot only, by the user's word."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.columns import paths_of
from setsolver.domain.names import same_name
from setsolver.errors import BadBrief
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, nearest

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Seats", "seats_of"]


class Seats(Term):
    """Keeps each frame of ``frames.slots`` out of all slots but its own. Whether it is in at all is another wish."""

    name = "seats"
    key = "frames.slots"
    rank = 21
    way_out = "give it another slot, or none"

    def apply(self, draft: Draft) -> None:
        """Take the rows out of the other slots."""
        seats = seats_of(draft.brief, draft.snapshot)
        if not seats:
            return
        slot = np.full(len(draft.frames), -1)
        slot[list(seats)] = list(seats.values())
        own = slot[draft.table.frame][:, None]
        names = [one.name for one in draft.slots]
        draft.rule_out(
            self,
            (own >= 0) & (own != np.arange(len(names))),
            lambda frames: f"{count(frames, 'frame')} cannot play the slot that you gave (frames.slots)",
            lambda crop: f"it cannot play {names[seats[int(crop.frame[0])]]}, the slot that you gave it",
        )


def seats_of(brief: Brief, snapshot: Snapshot) -> dict[int, int]:
    """Return the slot, by its column, of each frame that has one, by its id.

    Raises
    ------
    BadBrief
        For a path that no frame has, or a slot that the brief does not have.
    """
    wishes = brief.frames.slots
    if not wishes:
        return {}
    ids, names = {path: at for at, path in enumerate(paths_of(snapshot.frames))}, list(brief.role_names)
    seats = {}
    for path, slot in wishes.items():
        at = same_name(path, ids)
        if at is None:
            raise BadBrief(f'frames.slots: no frame of the catalog has the path "{path}"{nearest(path, ids)}')
        if slot not in names:
            raise BadBrief(f'frames.slots: "{slot}" for {path} is no slot of this brief; it has {", ".join(names)}')
        seats[ids[at]] = names.index(slot)
    return seats
