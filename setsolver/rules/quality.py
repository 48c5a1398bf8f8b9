"""Quality: points for technical quality, less what a tighter crop enlarges and a sharper sister shows up."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.known_rows import KnownRows
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.sisters import exposure_lag, sharpness_lead
from setsolver.rules.term import GainTerm

__all__ = ["Quality", "sharpness_of_crops", "sister_costs"]

TIGHTER_COSTS = 0.08
"""Quality lost by each halving of the crop's sides: grain and softness print twice as large."""
SOFT_CROP_COSTS = 0.25
"""Quality lost by a crop that leaves all of the frame's sharpness outside."""
SISTER_COSTS, SHARPER = 0.5, 0.05
"""Quality lost for each unit of sharpness by which another frame of the moment is sharper (best of the burst), and what
chance may be: a lighter copy of one frame differs by up to as much."""
LAG_COSTS, LIGHTER = 0.04, 0.3
"""Quality lost for each EV by which a frame is darker than the best exposed of its moment, and what chance may be."""

SHARP, SOFT = 0.6, 0.35
MOTION = 0.45
"""Motion from which blur is called that: one frame in seventy that nobody moved reaches it."""
GRAINY, CLEAN = 1.5, 0.5
CLIPPED = 0.02

_QUALITY = Column(lambda frame: frame.measures.quality)
_TILES = Column(lambda frame: frame.measures.detail.tiles, object)
_sharpest = KnownRows()


class Quality(GainTerm):
    """A technically faultless frame earns 1."""

    name = "quality"
    key = "weights.quality"
    rank = 40

    def apply(self, draft: Draft) -> None:
        """Pay quality, 0 to 1."""
        frames, table = draft.snapshot.frames, draft.table
        measured = _QUALITY.of(frames)
        tighter = TIGHTER_COSTS * -np.log2(table.linear)
        soft = SOFT_CROP_COSTS * (1.0 - sharpness_of_crops(frames, table.frame, table.box))
        quality = np.clip((measured - sister_costs(frames))[table.frame] - tighter - soft, 0.0, 1.0)
        draft.pay(self, quality)

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
        better = _better_sisters(member)
        return ", ".join(words + ([f"another frame of the moment is {' and '.join(better)}"] if better else []))


def _sharpness(sharpness: float) -> str:
    if sharpness >= SHARP:
        return "sharp where it matters"
    return "soft" if sharpness < SOFT else "a little soft"


def _clipping(low: float, high: float) -> list[str]:
    words = [name for name, share in (("blocked shadows", low), ("burnt highlights", high)) if share >= CLIPPED]
    return words or ["detail kept in shadows and highlights"]


def sister_costs(frames: Sequence[Frame]) -> Floats:
    """Return the quality that frames lose, [F], since others of their moment are sharper or better exposed."""
    softer = SISTER_COSTS * np.maximum(0.0, sharpness_lead(frames) - SHARPER)
    return np.asarray(softer + LAG_COSTS * np.maximum(0.0, exposure_lag(frames) - LIGHTER))


def _better_sisters(member: Member) -> list[str]:
    """Return in what another frame of the moment is better."""
    frames, own = member.snapshot.frames, member.rendition.frame.id
    found = (("sharper", sharpness_lead(frames), SHARPER), ("better exposed", exposure_lag(frames), LIGHTER))
    return [name for name, leads, slack in found if leads[own] > slack]


def sharpness_of_crops(frames: Sequence[Frame], frame: np.ndarray, box: Floats) -> Floats:
    """Return the sharpest tile inside each crop against the sharpest of its frame, [M], 0 to 1 (1 where none is sharp).

    A tile is inside where its centre is.
    """
    if not frames:
        return np.zeros(0)
    tiles = _TILES.of(frames)
    return _sharpest.of(tiles, frame, box, lambda rows: _sharpest_inside(tiles[frame[rows]], box[rows]))[:, 0]


def _sharpest_inside(detail: NDArray[np.object_], box: Floats) -> Floats:
    if not len(detail):
        return np.zeros((0, 1))
    tiles = np.stack(detail.tolist()).astype(np.float64)
    rows, columns = ((np.arange(cells) + 0.5) / cells for cells in tiles.shape[1:])
    high = (rows >= box[:, 1:2]) & (rows <= box[:, 1:2] + box[:, 3:])
    wide = (columns >= box[:, :1]) & (columns <= box[:, :1] + box[:, 2:3])
    inside = np.where(high[:, :, None] & wide[:, None, :], tiles, 0.0).max(axis=(1, 2))
    most = tiles.max(axis=(1, 2))
    return np.where(most > 0, inside / np.maximum(most, 1e-9), 1.0)[:, None]
