"""Roles: how many frames play each, and which renditions can."""

from __future__ import annotations

from fnmatch import fnmatchcase

import numpy as np

from setsolver.crops.renditions import CropTable
from setsolver.domain.brief import RoleWish
from setsolver.domain.frame import Frame
from setsolver.domain.measures import SCALES
from setsolver.domain.problem import Floats
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, in_a_row

__all__ = ["LEAST_ODDS", "Roles", "matches"]

LEAST_ODDS = 0.2
"""A rendition plays wide, medium or close only where its shot scale is that with at least this probability: below it a
viewer would not see it as such. An included frame may play any."""


class Roles(Term):
    """Bounds of each role, and how well each rendition fits it: the odds of its scale, or 1 for a role of one's own."""

    name = "roles"
    key = "roles"
    rank = 20

    def apply(self, draft: Draft) -> None:
        """Set bounds and fit, and take out the rows that play no role."""
        brief = draft.brief
        names = brief.role_names
        wishes = [brief.roles.get(role, RoleWish(count=(0, brief.size))) for role in names]
        draft.role_min, draft.role_max = [w.count[0] for w in wishes], [w.count[1] for w in wishes]
        draft.fit = np.stack([_fit(draft, role, wish) for role, wish in zip(names, wishes, strict=True)], axis=1)
        for index, (role, wish) in enumerate(zip(names, wishes, strict=True)):
            self._say(draft, index, role, wish)
        useless = np.asarray(np.isnan(draft.fit).all(axis=1))
        draft.rule_out(self, useless, lambda frames: self.says(frames, names), lambda crop: self.why(crop, names))

    def says(self, frames: int, names: tuple[str, ...]) -> str:
        """Return the sentence for frames that are out."""
        return f"{count(frames, 'frame')} cannot pass as {in_a_row(names, 'or')}"

    def why(self, crop: CropTable, names: tuple[str, ...]) -> str:
        """Return what is wrong with one frame: what it is instead."""
        odds = ", ".join(f"{scale} {100 * value:.0f} %" for scale, value in zip(SCALES, crop.odds[0], strict=True))
        return f"it cannot pass as {in_a_row(names, 'or')} ({odds}; at least {100 * LEAST_ODDS:.0f} % are wanted)"

    def _say(self, draft: Draft, index: int, role: str, wish: RoleWish) -> None:
        able = len(np.unique(draft.table.frame[~np.isnan(draft.fit[:, index])]))
        why = f"{count(able, 'frame')} can" if able else _nobody(wish)
        draft.words[f"role_min[{index}]"] = f"at least {count(wish.count[0], f'{role} frame')} ({why})"
        draft.words[f"role_max[{index}]"] = f"at most {count(wish.count[1], f'{role} frame')}"


def matches(frame: Frame, match: str) -> bool:
    """Return True where a frame fits "keyword:WORD" (case does not count) or "path:GLOB" (it does)."""
    kind, _, wanted = match.partition(":")
    if kind == "keyword":
        return wanted.casefold() in (word.casefold() for word in frame.shot.keywords)
    return fnmatchcase(frame.path, wanted)


def _fit(draft: Draft, role: str, wish: RoleWish) -> Floats:
    if wish.match is not None:
        fits = np.array([matches(frame, wish.match) for frame in draft.snapshot.frames])
        return np.where(fits[draft.table.frame], 1.0, np.nan)
    odds = draft.table.odds[:, SCALES.index(role)]
    return np.where((odds >= LEAST_ODDS) | draft.wished, odds, np.nan)


def _nobody(wish: RoleWish) -> str:
    if wish.match is None:
        return "no frame can"
    kind, _, wanted = wish.match.partition(":")
    return f'no frame carries the keyword "{wanted}"' if kind == "keyword" else f'no path fits "{wanted}"'
