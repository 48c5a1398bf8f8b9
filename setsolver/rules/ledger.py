"""The ledger: a set's score as lines in points that add up to it exactly, each with a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from setsolver.domain.outcome import LedgerLine
from setsolver.rules.assembly import Assembly

__all__ = ["ledger"]


def ledger(
    assembly: Assembly, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]
) -> tuple[LedgerLine, ...]:
    """Return the score of a set as lines, term by term: each its weight times what the set is worth to it.

    Parameters
    ----------
    chosen, roles : rendition and role indexes [N] of the problem. look : in the problem's axes.

    The lines add up to ``domain.validate.score_terms(...).score``.
    """
    found = assembly.chosen_set(tuple(chosen), tuple(roles), tuple(look))
    return tuple(line for term in assembly.terms for line in term.explain(found))
