"""Include and exclude: frames that must be in, and frames that must be out, by path or glob of paths."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from setsolver.domain.columns import paths_of
from setsolver.domain.names import as_written, fits
from setsolver.domain.outcome import RuledOut
from setsolver.domain.problem import Ints
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadBrief
from setsolver.rules.draft import EXAMPLES, Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, nearest

__all__ = ["Wishes", "WishesInWords", "frames_named", "matching", "wishes_in_words"]


class Wishes(Term):
    """Reads the brief's wishes as frame ids. A glob means every frame that it fits; ``*`` also crosses folders."""

    name = "frames"
    key = "frames.include"
    rank = 0

    def apply(self, draft: Draft) -> None:
        """Put included and excluded frames into the draft; a modest one only learns what is wished in.

        Raises
        ------
        BadBrief
            For a path that no frame has (with the nearest ones), a frame in both lists, or more included than the size.
        """
        wishes, snapshot = draft.brief.frames, draft.snapshot
        draft.included = frames_named("include", wishes.include, snapshot)
        if draft.modest:
            return
        draft.excluded = frames_named("exclude", wishes.exclude, snapshot)
        both = np.intersect1d(draft.included, draft.excluded)
        if len(both):
            path = snapshot.frames[both[0]].path
            raise BadBrief(f'frames: "{path}" is in both include and exclude; take it out of one of them')
        if len(draft.included) > draft.brief.size:
            raise BadBrief(
                f"frames.include: {count(len(draft.included), 'frame')} for a set of {draft.brief.size}; "
                "include fewer, or raise size"
            )
        self._say(draft)

    def _say(self, draft: Draft) -> None:
        said = wishes_in_words(draft.snapshot, draft.included, draft.excluded)
        draft.words |= said.words
        draft.reasons |= said.reasons
        draft.ruled_out += said.ruled_out


class WishesInWords(NamedTuple):
    """What is said of wishes: the problem's keys in words, why frames are out by id, and what was taken out."""

    words: dict[str, str]
    reasons: dict[int, str]
    ruled_out: tuple[RuledOut, ...]


def wishes_in_words(snapshot: Snapshot, included: Ints, excluded: Ints) -> WishesInWords:
    """Return what is said of frames wished in and out, by id."""
    frames, words = snapshot.frames, dict[str, str]()
    for key, ids, must in (("include", included, "in"), ("exclude", excluded, "out")):
        for index, frame in enumerate(ids):
            words[f"{key}[{index}]"] = f"{frames[frame].path} must be {must} ({key})"
    reasons = {int(frame): "it is left out at your wish (exclude)" for frame in excluded}
    if not len(excluded):
        return WishesInWords(words, reasons, ())
    paths = tuple(frames[frame].path for frame in excluded[:EXAMPLES])
    says = f"{count(len(excluded), 'frame')} left out at your wish (exclude)"
    return WishesInWords(words, reasons, (RuledOut(rule="exclude", frames=len(excluded), says=says, examples=paths),))


def matching(pattern: str, paths: list[str]) -> list[int]:
    """Return the positions of the paths that are the pattern, are written as it is, or else fit it as a glob.

    Case counts; the form of accents does not.
    """
    exact = [i for i, path in enumerate(paths) if path == pattern]
    written = as_written(pattern)
    exact = exact or [i for i, path in enumerate(paths) if as_written(path) == written]
    return exact or [i for i, path in enumerate(paths) if fits(path, written)]


def frames_named(key: str, patterns: tuple[str, ...], snapshot: Snapshot) -> Ints:
    """Return the ids of the frames that the paths or globs under a key of the brief name."""
    if not patterns:
        return np.zeros(0, dtype=np.int64)
    paths = paths_of(snapshot.frames)
    at = {path: index for index, path in enumerate(paths)}
    found: set[int] = set()
    for pattern in patterns:
        hits = [at[pattern]] if pattern in at else matching(pattern, paths)  # thousands may be named one by one
        if not hits:
            raise BadBrief(f'frames.{key}: no frame of the catalog has the path "{pattern}"{nearest(pattern, paths)}')
        found.update(hits)
    return np.array(sorted(found), dtype=np.int64)
