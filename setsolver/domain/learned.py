"""Frames with what the user's words taught of all of them, and groups: each is made when it is looked at.

A star moves the appeal of every frame a little, and a scale the odds; to make thousands of frames anew for that would
cost more than the question that is asked of a few of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import overload

from setsolver.domain.frame import Frame
from setsolver.domain.measures import ScaleOdds
from setsolver.domain.problem import Floats, Ints

__all__ = ["Labels", "LearnedFrames", "as_read"]

Labels = tuple[Ints, Ints, Ints]


class LearnedFrames(Sequence[Frame]):
    """F frames, ids 0 to F - 1.

    Attributes
    ----------
    read : the frames as measured, with what was said of each itself. odds : [F, 3], shot scale, None where nothing was
    learned of it. appeal : [F], NaN where a frame has none, None as for ``odds``. labels : [F] each, moment, scene and
    chapter after some frames were grouped anew, None where those that were read stand.
    """

    __slots__ = ("_made", "appeal", "labels", "odds", "read")

    def __init__(
        self, read: tuple[Frame, ...], odds: Floats | None, appeal: Floats | None, labels: Labels | None = None
    ) -> None:
        self.read, self.odds, self.appeal, self.labels = read, odds, appeal, labels
        self._made: dict[int, Frame] = {}

    def __len__(self) -> int:
        return len(self.read)

    @overload
    def __getitem__(self, at: int, /) -> Frame: ...

    @overload
    def __getitem__(self, at: slice, /) -> tuple[Frame, ...]: ...

    def __getitem__(self, at: int | slice, /) -> Frame | tuple[Frame, ...]:
        if isinstance(at, slice):
            return tuple(self[one] for one in range(*at.indices(len(self))))
        found = self._made.get(at)
        if found is None:
            found = self._made[at] = self._make(at)
        return found

    def _make(self, at: int) -> Frame:
        frame = self.read[at]
        odds, appeal = frame.measures.odds, frame.measures.appeal
        if self.odds is not None:
            odds = ScaleOdds(*self.odds[at].tolist())
        if self.appeal is not None and appeal is not None:
            appeal = appeal._replace(value=float(self.appeal[at]))
        measures = replace(frame.measures, odds=odds, appeal=appeal)
        if self.labels is None:
            return replace(frame, measures=measures)
        moment, scene, chapter = (int(label[at]) for label in self.labels)
        return replace(frame, measures=measures, moment=moment, scene=scene, chapter=chapter)


def as_read(frames: Sequence[Frame]) -> Sequence[Frame]:
    """Return frames without what was learned of all: those that nobody said anything about stay the same objects."""
    return frames.read if isinstance(frames, LearnedFrames) else frames
