"""Quality: points for technical quality, less what a tighter crop enlarges and a sharper sister shows up."""

from __future__ import annotations

import numpy as np

from setsolver.domain.frame import Frame
from setsolver.rules.columns import Floats
from setsolver.rules.draft import Draft
from setsolver.rules.gains import Member

__all__ = ["Quality", "sharpness_lead", "sharpness_of_crops"]

TIGHTER_COSTS = 0.08
"""Quality lost by each halving of the crop's sides: grain and softness print twice as large."""
SOFT_CROP_COSTS = 0.25
"""Quality lost by a crop that leaves all of the frame's sharpness outside."""
SISTER_COSTS = 0.5
"""Quality lost for each unit of sharpness by which another frame of the moment is sharper (best of the burst)."""

SHARP, SOFT = 0.6, 0.35
MOTION = 0.45
"""Motion from which blur is called that: one frame in seventy that nobody moved reaches it."""
GRAINY, CLEAN = 1.5, 0.5
CLIPPED = 0.02


class Quality:
    """``weights.quality`` points times quality, 0 to 1."""

    name = "quality"

    def apply(self, draft: Draft) -> None:
        """Add the part."""
        frames, table = draft.snapshot.frames, draft.table
        measured = np.array([frame.measures.quality for frame in frames])
        sister = SISTER_COSTS * sharpness_lead(frames)
        tighter = TIGHTER_COSTS * -np.log2(table.linear)
        soft = SOFT_CROP_COSTS * (1.0 - sharpness_of_crops(frames, table.frame, table.box))
        quality = np.clip((measured - sister)[table.frame] - tighter - soft, 0.0, 1.0)
        draft.parts[self.name] = draft.brief.weights.quality * quality[:, None]

    def says(self, member: Member) -> str:
        """Return what is good and bad about the pixels."""
        measures = member.rendition.frame.measures
        words = [_sharpness(measures.detail.sharpness)]
        if measures.detail.motion >= MOTION:
            words.append("motion blur")
        words += _clipping(measures.tone.clipped_low, measures.tone.clipped_high)
        if measures.detail.grain >= GRAINY:
            words.append("grainy")
        elif measures.detail.grain <= CLEAN:
            words.append("clean")
        if _sister(member):
            words.append("another frame of the moment is sharper")
        return ", ".join(words)


def _sharpness(sharpness: float) -> str:
    if sharpness >= SHARP:
        return "sharp where it matters"
    return "soft" if sharpness < SOFT else "fairly sharp"


def _clipping(low: float, high: float) -> list[str]:
    words = [name for name, share in (("blocked shadows", low), ("burnt highlights", high)) if share >= CLIPPED]
    return words or ["full shadows and highlights"]


def _sister(member: Member) -> bool:
    frame = member.rendition.frame
    if frame.moment < 0:
        return False
    sisters = (f.measures.detail.sharpness for f in member.snapshot.frames if f.moment == frame.moment)
    return max(sisters) > frame.measures.detail.sharpness + 0.05


def sharpness_lead(frames: tuple[Frame, ...]) -> Floats:
    """Return by how much the sharpest frame of the same moment is sharper, [F], 0 for the sharpest and for loners."""
    own = np.array([frame.measures.detail.sharpness for frame in frames], dtype=np.float64)
    moment = np.array([frame.moment for frame in frames], dtype=np.int64)
    best = np.zeros(max(moment.max(initial=0) + 1, 1))
    np.maximum.at(best, np.maximum(moment, 0), np.where(moment >= 0, own, 0.0))
    return np.where(moment >= 0, best[np.maximum(moment, 0)] - own, 0.0)


def sharpness_of_crops(frames: tuple[Frame, ...], frame: np.ndarray, box: Floats) -> Floats:
    """Return the sharpest tile inside each crop against the sharpest of its frame, [M], 0 to 1 (1 where none is sharp).

    A tile is inside where its centre is.
    """
    if not frames:
        return np.zeros(0)
    tiles = np.stack([f.measures.detail.tiles for f in frames]).astype(np.float64)[frame]
    rows, columns = ((np.arange(cells) + 0.5) / cells for cells in tiles.shape[1:])
    high = (rows >= box[:, 1:2]) & (rows <= box[:, 1:2] + box[:, 3:])
    wide = (columns >= box[:, :1]) & (columns <= box[:, :1] + box[:, 2:3])
    inside = np.where(high[:, :, None] & wide[:, None, :], tiles, 0.0).max(axis=(1, 2))
    most = tiles.max(axis=(1, 2))
    return np.where(most > 0, inside / np.maximum(most, 1e-9), 1.0)
