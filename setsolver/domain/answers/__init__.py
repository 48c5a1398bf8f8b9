"""Shapes of the documents with which verbs answer beside the outcome: their schemas are made of them."""

from __future__ import annotations

from typing import Final

from setsolver.domain.answers.batches import Albums
from setsolver.domain.answers.catalogs import Gaps, Scan
from setsolver.domain.answers.engine import SolutionFound
from setsolver.domain.answers.grades import Check, Comparison, Why
from setsolver.domain.answers.understood import BoardAddress, Briefs, BriefUnderstood, LearnedFound
from setsolver.domain.document import Document

__all__ = [
    "ANSWERS",
    "Albums",
    "BoardAddress",
    "BriefUnderstood",
    "Briefs",
    "Check",
    "Comparison",
    "Gaps",
    "LearnedFound",
    "Scan",
    "SolutionFound",
    "Why",
]

ANSWERS: Final[dict[str, type[Document]]] = {
    "albums": Albums,
    "board-address": BoardAddress,
    "brief-understood": BriefUnderstood,
    "briefs": Briefs,
    "check": Check,
    "comparison": Comparison,
    "gaps": Gaps,
    "learned": LearnedFound,
    "scan": Scan,
    "solution": SolutionFound,
    "why": Why,
}
"""What ``--json`` prints, by the last word of its ``format`` (``brief.schema.json`` is that of a brief's file)."""
