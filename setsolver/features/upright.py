"""Uprightness: whether a frame lies on its side or stands on its head, told by what CLIP says of its places.

Sky and ground, faces, trees and rooms look different lying down, and a network that was trained on upright pictures
says so. One look tells most frames: a linear head on the mean of its places and on what its halves differ in. A frame
that may not stand upright is looked at in its three other turns too, and each look speaks for or against each turn.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Upright
from setsolver.features.clip import clip_of, mean_over, seen_by_clip
from setsolver.features.models import weights_file
from setsolver.features.sight import Sight, feature

__all__ = ["TURNS", "UPRIGHT_FILE", "Regression", "UprightHead", "halves", "judged", "together"]

UPRIGHT_FILE: Final = "upright.npz"
TURNS: Final = (0, 90, 180, 270)
"""Degrees clockwise; a head's classes are the turns that a picture has undergone, in this order."""
_TOP, _BOTTOM = Box(0.0, 0.0, 1.0, 0.5), Box(0.0, 0.5, 1.0, 0.5)
_LEFT, _RIGHT = Box(0.0, 0.0, 0.5, 1.0), Box(0.5, 0.0, 0.5, 1.0)


class Regression(NamedTuple):
    """Ridge regression of the four turns. mean, deviation : float32[d]. weights : float32[d, 4]. bias : float32[4]."""

    mean: NDArray[np.float32]
    deviation: NDArray[np.float32]
    weights: NDArray[np.float32]
    bias: NDArray[np.float32]

    def says(self, cues: NDArray[np.floating]) -> NDArray[np.float32]:
        """Return how strongly a look speaks for the picture's having undergone each turn; float32[4], about 0 to 1."""
        unit = (np.asarray(cues, np.float32) - self.mean) / self.deviation
        return np.asarray(unit @ self.weights + self.bias, np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class UprightHead:
    """What looks say of a frame's turn, and from when on it is believed.

    first : on the cues of one look. again : on the mean over places alone, for four looks; halves mislead it more often
    than they help. suspect : margin of "upright" over the best other turn in one look under which the other turns are
    looked at. sure : margin over the second best turn, in four looks, from which a frame is said to lie or stand on its
    head; under it nobody can tell. one, four : slope and offset of the log odds of being right by the margin.
    benchmarks/features/uprightness.py fits and judges them.
    """

    first: Regression
    again: Regression
    suspect: float
    sure: float
    one: tuple[float, float]
    four: tuple[float, float]

    @classmethod
    @cache
    def load(cls) -> UprightHead:
        """Return the head that comes with the package; BadInput where it is missing."""
        with np.load(weights_file(UPRIGHT_FILE)) as stored:
            first, again = (
                Regression(*(stored[f"{name}.{part}"].astype(np.float32) for part in Regression._fields))
                for name in ("first", "again")
            )
            one, four = (tuple(stored[name].tolist()) for name in ("one", "four"))
            return cls(first, again, float(stored["suspect"]), float(stored["sure"]), one, four)


def halves(places: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the cues of a look, float32[2304]: mean over its places, top less bottom half, left less right half.

    Parameters
    ----------
    places : float32[14, 14, 768], rows from the top.
    """
    top, bottom, left, right = (mean_over(places, box) for box in (_TOP, _BOTTOM, _LEFT, _RIGHT))
    return np.concatenate([places.mean(axis=(0, 1)), top - bottom, left - right])


def together(spoken: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return how strongly four looks speak for each turn that the frame as it is has undergone; float64[4], a mean.

    Parameters
    ----------
    spoken : float[4, 4], what looks at the frame turned clockwise by 0, 90, 180 and 270 say of each turn.
    """
    turned = np.arange(4)
    return np.array([np.asarray(spoken, np.float64)[turned, (turn + turned) % 4].mean() for turn in range(4)])


def judged(strengths: NDArray[np.floating], head: UprightHead) -> Upright:
    """Return what four looks together say, from how strongly they speak for each turn; float[4]."""
    undergone = int(np.argmax(strengths))
    margin = float(strengths[undergone] - np.delete(strengths, undergone).max())
    sure = margin >= (head.sure if undergone else 0.0)
    return Upright((360 - TURNS[undergone]) % 360 if sure else None, _chance(margin, head.four))


def _chance(margin: float, line: tuple[float, float]) -> float:
    slope, offset = line
    return float(1 / (1 + np.exp(-(slope * margin + offset))))


@feature("upright")
def _upright(sight: Sight) -> Upright:
    head = UprightHead.load()
    cues = halves(sight.once(seen_by_clip).places)
    spoken = head.first.says(cues)
    margin = float(spoken[0] - spoken[1:].max())
    if margin >= head.suspect:
        return Upright(0, _chance(margin, head.one))
    copies = (clip_of(np.ascontiguousarray(np.rot90(sight.rgb, -turn)), sight.models.clip) for turn in (1, 2, 3))
    means = [cues[: len(head.again.mean)], *(copy.places.mean(axis=(0, 1)) for copy in copies)]
    return judged(together(np.stack([head.again.says(mean) for mean in means])), head)
