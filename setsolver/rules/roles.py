"""Roles: how many frames play each slot, and which renditions can."""

from __future__ import annotations

import numpy as np

from setsolver.crops.renditions import CropTable
from setsolver.domain.columns import SAID
from setsolver.domain.distinct import distinct
from setsolver.domain.frame import Frame
from setsolver.domain.learned import as_read
from setsolver.domain.measures import SCALES
from setsolver.domain.names import as_written, fits
from setsolver.domain.problem import Floats
from setsolver.domain.slot import Slot
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, in_a_row

__all__ = ["LEAST_ODDS", "RoleBounds", "matches"]

LEAST_ODDS = 0.05
"""A rendition plays wide, medium or close only where its shot scale is that with at least this probability.

Half of the sets of three that vision models picked by eye hold a frame under 10 % (benchmarks/taste): a stricter rule
costs good sets. Where the user has said what a frame is, that alone counts."""


class RoleBounds(Term):
    """Bounds of each slot, and how well each rendition fits it: the odds of its scale, or 1 for a match."""

    name = "roles"
    key = "roles"
    rank = 20
    way_out = "let the brief have room for what it is, say its scale (setsolver frames --set), or do not include it"

    def apply(self, draft: Draft) -> None:
        """Set bounds and fit, and take out the rows that play no slot."""
        draft.role_min, draft.role_max = [s.least for s in draft.slots], [s.most for s in draft.slots]
        draft.fit = np.stack([_fit(draft, slot) for slot in draft.slots], axis=1)
        bad = np.isnan(draft.fit)
        for index, slot in enumerate(draft.slots):
            self._say(draft, index, slot, draft.able[:, index] & ~bad[:, index])
        draft.rule_out(
            self,
            bad,
            lambda frames: f"{count(frames, 'frame')} cannot pass as {_wanted(draft.slots)}",
            lambda crop: self.why(crop, draft.frames[int(crop.frame[0])].said, draft.slots),
        )

    def why(self, crop: CropTable, said: str | None, slots: tuple[Slot, ...]) -> str:
        """Return what is wrong with one frame: what it is instead, by the user's own word (``said``) or by measure."""
        if said is not None:
            return f"it is {said} by your own word, and the brief asks for {_wanted(slots)}"
        odds = ", ".join(f"{scale} {100 * value:.0f} %" for scale, value in zip(SCALES, crop.odds[0], strict=True))
        return f"it cannot pass as {_wanted(slots)} ({odds}; at least {100 * LEAST_ODDS:.0f} % are wanted)"

    def _say(self, draft: Draft, index: int, slot: Slot, able: np.ndarray) -> None:
        frames = len(distinct(draft.table.frame[able]))
        nearest = "" if frames else _nearest(draft, index, slot)
        draft.words[f"least[{index}]"] = f"at least {count(slot.least, f'{slot.name} frame')}"
        draft.words[f"nobody[{index}]"] = (_no_match(slot) or "no frame can") + nearest
        draft.words[f"none[{index}]"] = (_no_match(slot) or f"no frame can be {slot.name}") + nearest
        why = f"{count(frames, 'frame')} can" if frames else draft.words[f"nobody[{index}]"]
        draft.words[f"role_min[{index}]"] = f"{draft.words[f'least[{index}]']} ({why})"
        draft.words[f"role_max[{index}]"] = f"at most {count(slot.most, f'{slot.name} frame')}"


def matches(frame: Frame, match: str) -> bool:
    """Return True where a frame fits "keyword:WORD" (case does not count) or "path:GLOB" (it does)."""
    kind, _, wanted = match.partition(":")
    if kind == "keyword":
        return as_written(wanted).casefold() in (as_written(word).casefold() for word in frame.shot.keywords)
    return fits(frame.path, wanted)


def _fit(draft: Draft, slot: Slot) -> Floats:
    if slot.match is not None:
        fits = draft.by_frame(matches(frame, slot.match) for frame in as_read(draft.frames))
        return np.where(fits > 0, 1.0, np.nan)
    odds = draft.table.odds[:, SCALES.index(slot.role)]
    said = draft.by_frame(SAID)
    said = (said >= 0) & (said != SCALES.index(slot.role))
    return np.where((odds >= LEAST_ODDS) & ~said, odds, np.nan)


def _nearest(draft: Draft, index: int, slot: Slot) -> str:
    """Return which frame comes nearest to a scale that no frame has, and what to say of it; "" where there is none."""
    unsaid = draft.by_frame(SAID) < 0
    rows = np.flatnonzero(draft.able[:, index] & unsaid)
    if slot.match is not None or not len(rows):
        return ""
    odds = draft.table.odds[rows, SCALES.index(slot.role)]
    path = draft.frames[int(draft.table.frame[rows[odds.argmax()]])].path
    return (
        f"; nearest is {path}, {slot.role} by {100 * odds.max():.0f} %: "
        f"frames --set {path} scale={slot.role} if you see it so"
    )


def _wanted(slots: tuple[Slot, ...]) -> str:
    """Return what the slots take; with their prints where those differ, for they then shut frames out as well."""
    prints = {(slot.aspect, slot.print_cm, slot.min_ppi) for slot in slots}
    if len(prints) == 1:
        return in_a_row(list(dict.fromkeys(slot.role for slot in slots)), "or")
    takes = [f"{slot.role} at {slot.aspect} and {slot.print_cm:g} cm ({slot.name})" for slot in slots]
    return in_a_row(takes, "or")


def _no_match(slot: Slot) -> str:
    """Return what no frame has that a slot's match asks for, "" where it asks for a scale."""
    if slot.match is None:
        return ""
    kind, _, wanted = slot.match.partition(":")
    return f'no frame carries the keyword "{wanted}"' if kind == "keyword" else f'no path fits "{wanted}"'
