"""The answer as a document: sets with frames, ledger, look, bound, and what was ruled out (``setsolver/outcome`` v2).

These models are the JSON; their schema is generated from them. Numbers are points, L*a*b* units, degrees, fractions
of the upright frame, or as named.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from setsolver.domain.document import Document
from setsolver.domain.plan import Placed, Plan

__all__ = [
    "STATUS",
    "Clashing",
    "Correction",
    "Covered",
    "LedgerLine",
    "NearMiss",
    "Outcome",
    "Placed",
    "Price",
    "RuledOut",
    "SetFound",
    "SetFrame",
    "ToneRecord",
]


class ToneRecord(Document):
    """A tone or a look: L* of black, mid and white point, a* and b* of the cast.

    vignette : falloff from centre to corners in EV, negative = darker corners. grain : standard deviation in L*, on a
    picture of 1280 pixels' long side. Of a look, both are 0 where the brief does not ask for them.
    """

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0
    vignette: float = 0.0
    grain: float = 0.0


class Correction(Document):
    """What is added to a frame's tone to bring it to the edge of the look's slack; zeros = left as it is."""

    black: float
    mid: float
    white: float
    cast_a: float = 0.0
    cast_b: float = 0.0
    vignette: float = 0.0
    grain: float = 0.0


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

    examples : some paths. way_out : what the photographer may change in the brief, "" where nothing is named.
    """

    rule: str
    frames: int
    says: str
    examples: tuple[str, ...] = ()
    way_out: str = ""

    @property
    def in_full(self) -> str:
        """The sentence with its way out, for the photographer; a client's sheet says only the sentence."""
        return f"{self.says} ({self.way_out})" if self.way_out else self.says


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


class NearMiss(Document):
    """A small change of the brief by which the best set would gain, or without which there is none.

    key : of the brief, such as "print_cm". value : the new one. frames : how many more would count. points : gained by
    the best set; None where there is no set to gain.
    """

    key: str
    value: float | str
    says: str
    frames: int
    points: float | None
    proven: bool


STATUS = {"optimal": "proven", "feasible": "open", "infeasible": "none", "unknown": "undecided"}
"""The engine's word for how a search ended -> the outcome's."""


class Outcome(Document):
    """The whole outcome of ``suggest``.

    status : "proven" (no set under the brief scores more), "open" (a set, and a gap that is left), "none" (proven that
    no set exists), "undecided" (stopped before either). catalog : folder as given by the user. near : what the brief
    only just misses, what gains most first.
    """

    format: Literal["setsolver/outcome"] = "setsolver/outcome"
    version: Literal[2] = 2
    made: str = ""
    tool: str = ""
    brief: dict[str, Any]
    catalog: str
    catalog_frames: int
    considered: int = Field(description="frames with at least one rendition that plays a role")
    renditions: int
    status: Literal["proven", "open", "none", "undecided"]
    seconds: float
    sets: tuple[SetFound, ...] = ()
    ruled_out: tuple[RuledOut, ...] = ()
    repeats: tuple[Covered, ...] = ()
    conflict: tuple[Clashing, ...] = ()
    prices: tuple[Price, ...] = ()
    near: tuple[NearMiss, ...] = ()
    refused: int = 0
    notes: tuple[str, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _from_version_1(cls, given: Any) -> Any:
        """Version 1 had the words of the engine for ``status``, and an empty ``layout``; plans now lie in the sets."""
        if not isinstance(given, dict):
            return given
        kept = {key: value for key, value in given.items() if (key, value) != ("layout", {})}
        if kept.get("version") == 1 and kept.get("status") in STATUS:
            kept |= {"version": 2, "status": STATUS[kept["status"]]}
        return kept

    @property
    def best(self) -> SetFound | None:
        """The best set, None where there is none."""
        return self.sets[0] if self.sets else None
