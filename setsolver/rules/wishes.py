"""Include and exclude: frames that must be in, and frames that must be out, by path or glob of paths."""

from __future__ import annotations

from fnmatch import fnmatchcase

import numpy as np

from setsolver.domain.outcome import RuledOut
from setsolver.domain.problem import Ints
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadBrief
from setsolver.rules.draft import EXAMPLES, Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, nearest

__all__ = ["Wishes", "frames_named", "matching"]


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
        frames = draft.snapshot.frames
        for key, ids, must in (("include", draft.included, "in"), ("exclude", draft.excluded, "out")):
            for index, frame in enumerate(ids):
                draft.words[f"{key}[{index}]"] = f"{frames[frame].path} must be {must} ({key})"
        draft.reasons |= {int(frame): "it is left out at your wish (exclude)" for frame in draft.excluded}
        if len(draft.excluded):
            paths = tuple(frames[frame].path for frame in draft.excluded[:EXAMPLES])
            says = f"{count(len(draft.excluded), 'frame')} left out at your wish (exclude)"
            draft.ruled_out.append(RuledOut(rule="exclude", frames=len(draft.excluded), says=says, examples=paths))


def matching(pattern: str, paths: list[str]) -> list[int]:
    """Return the positions of the paths that are the pattern, or else fit it as a glob (case counts)."""
    exact = [i for i, path in enumerate(paths) if path == pattern]
    return exact or [i for i, path in enumerate(paths) if fnmatchcase(path, pattern)]


def frames_named(key: str, patterns: tuple[str, ...], snapshot: Snapshot) -> Ints:
    """Return the ids of the frames that the paths or globs under a key of the brief name."""
    paths = [frame.path for frame in snapshot.frames]
    found: set[int] = set()
    for pattern in patterns:
        hits = matching(pattern, paths)
        if not hits:
            raise BadBrief(f'frames.{key}: no frame of the catalog has the path "{pattern}"{nearest(pattern, paths)}')
        found.update(hits)
    return np.array(sorted(found), dtype=np.int64)
