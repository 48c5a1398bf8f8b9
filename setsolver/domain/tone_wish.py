"""The [tone] of a brief: treatment, reach and slack."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from setsolver.domain.document import Part
from setsolver.domain.rendition import FURTHER_AXES

__all__ = ["Reach", "Slack", "ToneAmounts", "ToneWish"]

Lab = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]


class ToneAmounts(Part):
    """An amount for each tone: L* for black, mid and white, a*b* units for the cast.

    vignette : EV between centre and corners. grain : L*, standard deviation on a picture of 1280 pixels' long side.
    Without them, those two do not count.
    """

    black: Lab
    mid: Lab
    white: Lab
    cast: Lab
    vignette: Annotated[float, Field(ge=0, le=5, allow_inf_nan=False)] | None = None
    grain: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] | None = None


class Reach(ToneAmounts):
    """How far a frame may be corrected towards the look.

    With the slack, what holds 99 of 100 sets that vision models picked by eye (benchmarks/taste).
    """

    black: Lab = 24
    mid: Lab = 31
    white: Lab = 27
    cast: Lab = 22


class Slack(ToneAmounts):
    """How far from the look a frame may be left: about what half of such sets differ by."""

    black: Lab = 6
    mid: Lab = 14
    white: Lab = 8
    cast: Lab = 8


class ToneWish(Part):
    """Treatment, reach and slack."""

    treatment: Literal["colour", "mono"] = "colour"
    reach: Reach = Reach()
    slack: Slack = Slack()

    @model_validator(mode="after")
    def _both_or_neither(self) -> Self:
        for axis in FURTHER_AXES:
            reach, slack = getattr(self.reach, axis), getattr(self.slack, axis)
            if (reach is None) is not (slack is None):
                given, missing = ("slack", "reach") if reach is None else ("reach", "slack")
                raise ValueError(
                    f"{axis} has a {given} and no {missing}; give both, or neither where it is not to count"
                )
        return self
