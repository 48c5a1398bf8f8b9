"""What a person can change of the brief, and how back and forth."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from setsolver.usecases.board.acts.act import Act

__all__ = ["BeginAgain", "Change", "Redo", "TakeIn", "Undo", "Way", "Weigh"]


class Weigh(Act):
    """Set one weight, in points."""

    do: Literal["weigh"]
    term: Annotated[str, Field(min_length=1, max_length=80)]
    points: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False, strict=False)]


RuleKey = Annotated[str, Field(min_length=1, max_length=120)]
RuleValue = (
    Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False, strict=False)]
    | Annotated[str, Field(max_length=40)]
    | None
)


class Change(Act):
    """Set one rule of the brief (``rules``); None takes away one that may be absent.

    besides : other rules that change with it, by key, as one step.
    """

    do: Literal["change"]
    key: RuleKey
    value: RuleValue
    besides: Annotated[dict[RuleKey, RuleValue], Field(max_length=4)] = Field(default_factory=dict)


class Way(Act):
    """Take a way out of a clash that was shown, by its number from 1, at a revision of the board."""

    do: Literal["way"]
    number: Annotated[int, Field(ge=1, le=20)]
    revision: int


class BeginAgain(Act):
    """Go back to the brief as its owner wrote it."""

    do: Literal["begin again"]


class Undo(Act):
    """Take back the last change."""

    do: Literal["undo"]


class Redo(Act):
    """Make the change again that was taken back."""

    do: Literal["redo"]


class TakeIn(Act):
    """Take in what another scan of the catalog found."""

    do: Literal["take in"]
