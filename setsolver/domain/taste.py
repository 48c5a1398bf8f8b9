"""A taste: weights of the terms, and the choices that they were fitted to."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from setsolver.domain.brief import NAME, Part, Points

__all__ = ["Evidence", "Taste"]


class Evidence(Part):
    """What a taste rests on.

    choices : preferences of one set over another. shoots : of so many. agreement : share, 0 to 1, of preferences in
    shoots left out of the fit that it tells rightly; None where there were too few to leave any out.
    """

    choices: Annotated[int, Field(ge=0)] = 0
    shoots: Annotated[int, Field(ge=0)] = 0
    agreement: Annotated[float, Field(ge=0, le=1)] | None = None


class Taste(Part):
    """Weights in points by the key of their term, a sentence, and the evidence.

    temperature : points for each frame of a set by which the odds that it is preferred change e-fold.
    """

    name: Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[\w .-]+$", description=NAME)]
    says: Annotated[str, Field(max_length=300, description="a sentence of at most 300 characters")] = ""
    temperature: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)] = 8.5
    weights: dict[str, Points] = Field(default_factory=dict)
    evidence: Evidence = Evidence()
