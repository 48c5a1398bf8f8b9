"""One way to use a frame: crop, levelling, treatment, and the role, tone and pixels that result."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds

__all__ = ["COLOUR_AXES", "MONO_AXES", "TONE_AXES_IN_WORDS", "Look", "Rendition", "axes_of"]

COLOUR_AXES = ("black", "mid", "white", "cast_a", "cast_b")
MONO_AXES = ("black", "mid", "white")
TONE_AXES_IN_WORDS = {
    "black": "black point",
    "mid": "mid tone",
    "white": "white point",
    "cast_a": "green-red cast",
    "cast_b": "blue-yellow cast",
}


def axes_of(treatment: str) -> tuple[str, ...]:
    """Return the tone axes that count under a treatment ("colour" or "mono"), in the problem's order."""
    return MONO_AXES if treatment == "mono" else COLOUR_AXES


class Look(NamedTuple):
    """A tone in L*, a*, b*: of a rendition, or the one that a set agrees on. Mono has no cast (0)."""

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0


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
