"""Content: what the frames of a set show belongs together; a lone stranger costs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.last import Last
from setsolver.domain.measures import Clip
from setsolver.domain.outcome import LedgerLine
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import ChosenSet
from setsolver.rules.draft import Draft
from setsolver.rules.principal import principal
from setsolver.rules.term import AxisTerm

__all__ = ["AXES", "SLACK", "Content", "content_of"]

AXES = 6
"""Principal axes of what the catalog's frames show: with 3 and with 12 the term told chosen sets from others worse
(benchmarks/taste)."""
SLACK = 0.15
"""How far from the set's middle a frame may lie on an axis for nothing, against the catalog's own spread."""


class Content(AxisTerm):
    """Axes on which frames lie by what CLIP says that they show, in units of the catalog's spread.

    A wedding's frames are nearer to each other than a journey's: only against its own shoot is a frame a stranger.
    """

    name = "content"
    key = "weights.content"
    rank = 71

    def apply(self, draft: Draft) -> None:
        """Give the axes."""
        for number, column in enumerate(content_of(draft.frames).T, 1):
            draft.agree(self, f"content {number}", column[draft.table.frame], SLACK, says="what it shows")

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return one line for all axes, on the frame that stands apart most."""
        effort = sum((effort for _, _, _, effort in found.axes(self)), start=np.zeros(len(found.chosen)))
        if not any(True for _ in found.axes(self)):
            return []
        apart = found.paths[int(effort.argmax())]
        words = "what they show belongs together" if not effort.any() else f"what they show; {apart} stands apart most"
        return [found.line(self, -float(effort.sum()), found.paths_of(effort > 0), words)]


_content: Last[Floats] = Last()
_CLIPS = Column(lambda frame: frame.measures.clip, object)


def content_of(frames: Sequence[Frame]) -> Floats:
    """Return where frames lie by what they show, [F, at most ``AXES``]; the mean squared length about the mean is <= 1.

    Frames that CLIP has not seen (a quick scan) lie in the middle.
    """
    clips = _CLIPS.of(frames)
    return _content.of((clips,), lambda: _content_of(clips.tolist()))


def _content_of(clips: list[Clip | None]) -> Floats:
    seen = [at for at, clip in enumerate(clips) if clip is not None]
    if not seen:
        return np.zeros((len(clips), 0))
    vectors = np.stack([clip.embedding for clip in clips if clip is not None]).astype(np.float32)
    vectors /= np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-6)
    vectors -= vectors.mean(axis=0)
    spread = float(np.sqrt((vectors.astype(np.float64) ** 2).sum(axis=1).mean()))
    places = principal(vectors, AXES) / max(spread, 1e-3)
    content = np.zeros((len(clips), places.shape[1]))
    content[seen] = places
    return content
