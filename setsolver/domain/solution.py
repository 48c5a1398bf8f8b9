"""What the solver answers: chosen renditions with roles and look, their score, and how good they are proven to be."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

__all__ = ["PROOF_TOLERANCE", "Choice", "Clash", "Solution"]

PROOF_TOLERANCE = 1e-6
"""A set is proven best where bound - score <= PROOF_TOLERANCE * max(1, abs(score))."""


@dataclass(frozen=True)
class Choice:
    """One set: rendition indexes, the role index of each, the look, score and bound in points.

    ``kind`` says what question the set answers: "best", "differs" (by at least so many frames), "lead" (another lead
    frame), "look" (another look at least so far away), "effort" (on the trade-off between points and tonal effort).
    """

    chosen: tuple[int, ...]
    roles: tuple[int, ...]
    look: tuple[float, ...]
    score: float
    bound: float
    kind: str = "best"

    @property
    def gap(self) -> float:
        """Points by which a better set might exist; 0 or a rounding error when proven."""
        return max(0.0, self.bound - self.score)

    @property
    def proven(self) -> bool:
        """True where no set under the same question can score more."""
        return self.gap <= PROOF_TOLERANCE * max(1.0, abs(self.score))

    def to_json(self) -> dict[str, Any]:
        """Return the entry of the solution document."""
        return {
            "kind": self.kind,
            "chosen": list(self.chosen),
            "roles": list(self.roles),
            "look": list(self.look),
            "score": self.score,
            "bound": self.bound,
            "proven": self.proven,
        }


@dataclass(frozen=True)
class Clash:
    """One rule of a minimal set of rules that cannot hold together.

    Attributes
    ----------
    rule : key of the problem with its index, such as "role_min[2]" or "tone_reach[0]".
    says : the rule in plain words.
    loosened : smallest new value under which a set exists, all else kept; None where no value of this rule alone helps.
    """

    rule: str
    says: str
    loosened: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the entry of the solution document."""
        return {"rule": self.rule, "says": self.says, "loosened": self.loosened}


@dataclass(frozen=True)
class Solution:
    """The whole answer.

    Attributes
    ----------
    status : "optimal", "feasible" (gap left), "infeasible" (proven), "unknown" (stopped before either).
    seconds : wall time of the solve.
    solutions : the best set first, then alternates.
    conflict : why no set exists; empty unless infeasible.
    nodes : search nodes opened, for the curious.
    """

    status: str
    seconds: float
    solutions: tuple[Choice, ...] = ()
    conflict: tuple[Clash, ...] = ()
    nodes: int = 0
    notes: tuple[str, ...] = field(default=())

    @property
    def best(self) -> Choice | None:
        """The best set found, or None."""
        return self.solutions[0] if self.solutions else None

    def to_json(self) -> dict[str, Any]:
        """Return the document ``setsolver/solution`` version 1."""
        return {
            "format": "setsolver/solution",
            "version": 1,
            "status": self.status,
            "seconds": self.seconds,
            "nodes": self.nodes,
            "solutions": [choice.to_json() for choice in self.solutions],
            "conflict": [clash.to_json() for clash in self.conflict],
        }
