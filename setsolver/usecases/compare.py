"""Sets side by side: which frames they share, what each gains and loses by rule, and how far apart their looks are."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.outcome import SetFound

__all__ = ["compare", "points_by_rule"]


def points_by_rule(found: SetFound) -> dict[str, float]:
    """Return the points of each rule of a ledger, in its order; they add up to the score."""
    totals: dict[str, float] = {}
    for line in found.ledger:
        totals[line.rule] = totals.get(line.rule, 0.0) + line.points
    return totals


def compare(sets: Sequence[tuple[str, SetFound]]) -> dict[str, Any]:
    """Return the document ``setsolver/comparison`` version 1 for named sets.

    Each set's points by rule, frames with roles, and look; each pair's shared frames, frames of one only, and the
    difference in points by rule (second minus first).

    Raises
    ------
    BadInput
        For fewer than two sets.
    """
    if len(sets) < 2:
        raise BadInput(f"{len(sets)} set given; name at least two, such as DIR#1 DIR#2")
    return {
        "format": "setsolver/comparison",
        "version": 1,
        "sets": [_one(name, found) for name, found in sets],
        "pairs": [_pair(first, second) for first, second in combinations(sets, 2)],
    }


def _one(name: str, found: SetFound) -> dict[str, Any]:
    return {
        "set": name,
        "score": found.score,
        "bound": found.bound,
        "proven": found.proven,
        "look": found.look.model_dump(),
        "frames": [{"path": f.path, "role": f.role} for f in found.frames],
        "rules": points_by_rule(found),
    }


def _pair(first: tuple[str, SetFound], second: tuple[str, SetFound]) -> dict[str, Any]:
    (name_a, a), (name_b, b) = first, second
    paths_a, paths_b = [f.path for f in a.frames], [f.path for f in b.frames]
    rules_a, rules_b = points_by_rule(a), points_by_rule(b)
    rules = {rule: rules_b.get(rule, 0.0) - rules_a.get(rule, 0.0) for rule in {**rules_a, **rules_b}}
    look_a, look_b = a.look.model_dump(), b.look.model_dump()
    return {
        "sets": [name_a, name_b],
        "shared": [p for p in paths_a if p in paths_b],
        "only_first": [p for p in paths_a if p not in paths_b],
        "only_second": [p for p in paths_b if p not in paths_a],
        "points": b.score - a.score,
        "rules": rules,
        "look": {axis: look_b[axis] - look_a[axis] for axis in look_a},
    }
