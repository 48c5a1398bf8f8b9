"""One way to use a frame: crop, levelling, treatment, and the role, tone and pixels that result."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import NamedTuple

from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds

__all__ = [
    "COLOUR_AXES",
    "FURTHER_AXES",
    "GRAIN_SIDE",
    "MONO_AXES",
    "TONE_AXES_IN_WORDS",
    "Look",
    "Rendition",
    "axes_of",
]

COLOUR_AXES = ("black", "mid", "white", "cast_a", "cast_b")
MONO_AXES = ("black", "mid", "white")
FURTHER_AXES = ("vignette", "grain")
"""Axes that count only where a brief gives them a reach and a slack."""
GRAIN_SIDE = 1280
"""Long side, in pixels, of the picture on which grain is measured."""
TONE_AXES_IN_WORDS = {
    "black": "black point",
    "mid": "mid tone",
    "white": "white point",
    "cast_a": "green-red cast",
    "cast_b": "blue-yellow cast",
    "vignette": "vignette",
    "grain": "grain",
}


def axes_of(treatment: str, further: Collection[str] = ()) -> tuple[str, ...]:
    """Return the tone axes that count under a treatment ("colour" or "mono"), in the problem's order.

    further : those of ``FURTHER_AXES`` that a brief asks for.
    """
    first = MONO_AXES if treatment == "mono" else COLOUR_AXES
    return (*first, *(axis for axis in FURTHER_AXES if axis in further))


class Look(NamedTuple):
    """A tone: of a rendition, or the one that a set agrees on.

    L* of black, mid and white, a* and b* of the cast (0 in mono), falloff towards the corners in EV (negative =
    darker), grain in L* (standard deviation, on a picture of 1280 pixels' long side).
    """

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0
    vignette: float = 0.0
    grain: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Rendition:
    """A crop of one frame at the set's aspect.

    crop, level : as in ``domain.geometry``; level in degrees counter-clockwise. kind : "largest" or "tighter".
    odds : shot scale of the crop. tone : of the crop's pixels under the treatment, before correction.
    width, height : pixels of the crop in the original. kept : share of the frame's attention inside the crop.
    level_cost : share of the largest unlevelled crop's area that levelling costs, 0 to 1.
    """

    frame: Frame
    crop: Box
    level: float
    treatment: str
    kind: str
    odds: ScaleOdds
    tone: Look
    width: int
    height: int
    kept: float
    level_cost: float
