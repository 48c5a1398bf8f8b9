"""Briefs whose frames left the catalog meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.domain.brief import FrameWishes
from setsolver.rules.wishes import matching

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["without_gone"]


def without_gone(brief: Brief, there: set[str]) -> tuple[Brief, tuple[str, ...]]:
    """Return a brief without frames that it names by path and that are not there, and these; globs stay."""
    wishes = brief.frames
    named = dict.fromkeys((*wishes.include, *wishes.exclude, *wishes.slots, *brief.crops))
    gone = tuple(path for path in named if path not in there and not matching(path, sorted(there)))
    if not gone:
        return brief, ()
    include, exclude = (tuple(path for path in paths if path not in gone) for paths in (wishes.include, wishes.exclude))
    slots = {path: slot for path, slot in wishes.slots.items() if path not in gone}
    crops = {path: crop for path, crop in brief.crops.items() if path not in gone}
    frames = FrameWishes(include=include, exclude=exclude, slots=slots)
    return brief.model_copy(update={"frames": frames, "crops": crops}), gone
