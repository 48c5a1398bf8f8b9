"""Scenes: frames that belong together by content, place, light and time; a scene may be left and come back to.

Two frames belong to one scene by a chance that is told from how alike two networks find them, from their colours and
mid tones, and from the time between them where it is known. Groups of frames grow as long as the mean chance of their
pairs is over a bar (average linkage). Fitted to readings of shoots by eye, benchmarks/features/scenes.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Final, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.hierarchy import fcluster, linkage
from scipy.spatial.distance import squareform

__all__ = ["MOST_AT_ONCE", "STEPS_S", "WEIGHTS", "Fitted", "Look", "Looks", "Weights", "chances", "cues", "joined"]

MOST_AT_ONCE: Final = 512
"""Frames of a chapter that are compared each with each; a longer one is cut at its longest pause after half as many."""
STEPS_S: Final = (1.0, 120.0, 1200.0, 7200.0)
_LONGEST_S: Final = 172_800.0
"""Seconds at which stretches of time begin, each with its own weight for a doubling of the time between two frames, and
at which the last one ends: there is no difference between two days and a year."""
_EV: Final = 0.05
"""What each EV of light apart says against one scene. Common practice, no source: the photographs read tell none."""


class Look(NamedTuple):
    """What is seen of n frames.

    parts : unit vectors whose dot products tell likeness, by EfficientNet-Lite0 and by CLIP's places, each float32[n,
    d]; the latter counts only where ``whole``. colour : float32[n, 4], palette (a*, b*, C*) and mid tone (L*). whole :
    bool[n], whether CLIP has looked.
    """

    parts: tuple[NDArray[np.float32], NDArray[np.float32]]
    colour: NDArray[np.float32]
    whole: NDArray[np.bool_]


class Looks(Protocol):
    """What is seen of frames by position, read when it is asked for."""

    def __getitem__(self, rows: NDArray[np.int64], /) -> Look: ...


class Weights(NamedTuple):
    """Of the log odds: constant; cosine of each part; 10 units of distance of palettes and of mid tones; each doubling
    of the time between two frames, by the stretches that begin at ``STEPS_S`` (empty for pairs without).
    """  # noqa: D205 - one list of fields

    constant: float
    parts: tuple[float, float]
    palette: float
    mid: float
    time: tuple[float, ...] = ()


Fitted = Mapping[tuple[bool, bool], Weights]
"""Weights by whether both frames' times are known, and whether CLIP has looked at both."""
WEIGHTS: Final[Fitted] = {
    (True, True): Weights(-0.13, (2.54, 6.45), -0.414, -0.294, (-0.418, -0.227, 0.0, -1.522)),
    (True, False): Weights(1.69, (7.62, 0.0), -0.614, -0.279, (-0.41, -0.245, 0.0, -1.413)),
    (False, True): Weights(-4.16, (3.54, 5.79), -0.638, -0.387),
    (False, False): Weights(-2.39, (8.1, 0.0), -0.792, -0.445),
}
"""Fitted by benchmarks/features/scenes.py."""


def cues(look: Look, instant: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return what tells of each pair, float32[4 + len(STEPS_S), n, n]: cosines, palette, mid tone, doublings of time.

    Parameters
    ----------
    instant : float64[n], seconds, NaN where unknown (the doublings are then NaN).
    """
    count = len(instant)
    out = np.empty((4 + len(STEPS_S), count, count), np.float32)
    for at, part in enumerate(look.parts):
        np.matmul(part, part.T, out=out[at])
    colour = look.colour / np.float32(10)
    squares = np.zeros((count, count), np.float32)
    for channel in range(3):
        squares += (colour[:, None, channel] - colour[None, :, channel]) ** 2
    np.sqrt(squares, out=out[2])
    out[3] = np.abs(colour[:, None, 3] - colour[None, :, 3])
    gap = np.abs(instant[:, None] - instant[None, :]).astype(np.float32)
    doublings = np.log2(np.maximum(gap, STEPS_S[0]))  # what is not known stays so
    for at, (start, end) in enumerate(pairwise(np.log2([*STEPS_S, _LONGEST_S])), 4):
        out[at] = np.clip(doublings, start, end) - np.float32(start)
    return out


def chances(
    look: Look,
    instant: NDArray[np.float64],
    light: NDArray[np.float64] | None = None,
    weights: Fitted = WEIGHTS,
) -> NDArray[np.float32]:
    """Return the chance of each pair to belong to one scene; float32[n, n].

    Parameters
    ----------
    instant : see ``cues``. light : float64[n], EV at ISO 100, NaN where unknown. weights : other than the fitted ones.
    """
    found = cues(look, instant)
    timed = np.isfinite(found[4])
    whole = look.whole[:, None] & look.whole[None, :]
    odds = np.zeros(timed.shape, np.float32)
    for (with_time, with_clip), one in weights.items():
        here = (timed == with_time) & (whole == with_clip)
        if here.any():
            odds[here] = _odds(found, one)[here]
    if light is not None and len(light):
        apart = np.abs(light[:, None] - light[None, :]).astype(np.float32)
        odds -= np.float32(_EV) * np.where(np.isfinite(apart), apart, np.float32(0))
    return np.asarray(1 / (1 + np.exp(-odds)), np.float32)


def _odds(found: NDArray[np.float32], weights: Weights) -> NDArray[np.float32]:
    """Return log odds of all pairs by one set of weights."""
    every = (*weights.parts, weights.palette, weights.mid, *weights.time)
    odds = np.full(found.shape[1:], weights.constant, np.float32)
    for weight, cue in zip(every, found, strict=False):  # without a time the last ones are not there
        if weight:
            odds += np.float32(weight) * cue
    return odds


def joined(chance: NDArray[np.float32], bar: float) -> NDArray[np.int64]:
    """Return labels of n frames from their pairs' chances, float[n, n].

    Groups grow as long as the mean chance of the pairs between two of them is over the bar.
    """
    if len(chance) < 2:
        return np.zeros(len(chance), np.int64)
    apart = 1.0 - chance.astype(np.float64)
    tree = linkage(squareform(apart, checks=False), "average")
    return np.asarray(fcluster(tree, 1.0 - bar, "distance"), np.int64)
