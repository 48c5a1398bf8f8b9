"""The answer as a document: sets with frames, ledger, look, bound, and what was ruled out (``setsolver/outcome`` v1).

These models are the JSON; their schema is generated from them. Numbers are points, L*a*b* units, degrees, fractions
of the upright frame, or as named.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from setsolver.domain.document import Document
from setsolver.domain.plan import Placed, Plan

__all__ = [
    "Clashing",
    "Correction",
    "Covered",
    "LedgerLine",
    "Outcome",
    "Placed",
    "Price",
    "RuledOut",
    "SetFound",
    "SetFrame",
    "ToneRecord",
]


class ToneRecord(Document):
    """A tone or a look: L* of black, mid and white point, a* and b* of the cast."""

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0


class Correction(Document):
    """What is added to a frame's tone to bring it to the edge of the look's slack; zeros = left as it is."""

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0


class SetFrame(Document):
    """One frame of a set, in the order of the layout.

    role : what it shows; slot : which place it takes, the role's own name unless the brief gave another. crop : x, y,
    w, h on the levelled frame; level : degrees counter-clockwise; aspect, print_cm : of its print, width:height and
    long edge (empty and 0 in documents of before); ppi : pixels per inch of the print. lead : True for the frame that
    the set is built around (the best paid of the first slot).
    """

    path: str
    role: str
    crop: tuple[float, float, float, float]
    level_degrees: float
    level_cost: float
    treatment: str
    rendition: str
    width: int
    height: int
    crop_width: int
    crop_height: int
    ppi: float
    tone: ToneRecord
    correction: Correction
    scale: dict[str, float]
    time: str | None = None
    moment: int = -1
    scene: int = -1
    lead: bool = False
    slot: str = ""
    aspect: str = ""
    print_cm: float = 0.0
    position: Placed

    @property
    def plays(self) -> str:
        """Its slot and role in words: "lead (wide)", or "wide" where the slot has no other name."""
        return f"{self.slot} ({self.role})" if self.slot not in ("", self.role) else self.role


class LedgerLine(Document):
    """One line of the score: a rule, its points (negative = cost), the frames it speaks of, and a sentence."""

    rule: str
    points: float
    frames: tuple[str, ...]
    says: str


class SetFound(Document):
    """A set: the best, or an alternate and what kind of alternate it is.

    terms : what the set is worth to each term before weights, by the term's name; the score is the sum of weight times
    this (empty in documents of before).
    layout : where its prints hang or stand; None in outcomes of older versions.
    """

    kind: str
    says: str
    score: float
    bound: float
    proven: bool
    look: ToneRecord
    frames: tuple[SetFrame, ...]
    ledger: tuple[LedgerLine, ...]
    terms: dict[str, float] = Field(default_factory=dict)
    layout: Plan | None = None


class Covered(Document):
    """A near-duplicate that lost: the frame, the frame of the same moment that beat it, and by how many points."""

    path: str
    beaten_by: str
    points: float


class RuledOut(Document):
    """Frames or renditions that a rule took out before the search: how many, and in a sentence why.

    examples : some paths.
    """

    rule: str
    frames: int
    says: str
    examples: tuple[str, ...] = ()


class Clashing(Document):
    """One rule of a minimal clashing set, with the smallest loosening that alone would make a set possible."""

    rule: str
    says: str
    loosened: float | None = None
    way_out: str = ""


class Price(Document):
    """What a rule or a wish costs: ``points`` gained were the rule dropped, or lost were the wish granted."""

    about: str
    says: str
    points: float | None
    proven: bool


class Outcome(Document):
    """The whole outcome of ``suggest``.

    status : "optimal", "feasible" (a gap is left), "infeasible", "unknown". catalog : folder as given by the user.
    """

    format: Literal["setsolver/outcome"] = "setsolver/outcome"
    version: Literal[1] = 1
    made: str = ""
    tool: str = ""
    brief: dict[str, Any]
    catalog: str
    catalog_frames: int
    considered: int = Field(description="frames with at least one rendition that plays a role")
    renditions: int
    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    seconds: float
    sets: tuple[SetFound, ...] = ()
    ruled_out: tuple[RuledOut, ...] = ()
    repeats: tuple[Covered, ...] = ()
    conflict: tuple[Clashing, ...] = ()
    prices: tuple[Price, ...] = ()
    refused: int = 0
    notes: tuple[str, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _without_empty_layout(cls, given: Any) -> Any:
        """Older versions wrote an empty ``layout`` here; plans now lie in the sets."""
        if isinstance(given, dict) and given.get("layout") == {}:
            return {key: value for key, value in given.items() if key != "layout"}
        return given

    @property
    def best(self) -> SetFound | None:
        """The best set, None where there is none."""
        return self.sets[0] if self.sets else None
