"""Sets side by side: which frames they share, what each gains and loses by rule, and how far apart their looks are."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput
from setsolver.rules.words import in_a_row

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from setsolver.domain.outcome import Outcome, SetFound

__all__ = ["compare", "differing_keys", "points_by_rule"]

ABOUT = ("name", "says", "title", "client", "photographer", "captions", "layout", "wall")
"""Keys of a brief that change no point of a set."""
MOST_KEYS = 4


def points_by_rule(found: SetFound) -> dict[str, float]:
    """Return the points of each rule of a ledger, in its order; they add up to the score."""
    totals: dict[str, float] = {}
    for line in found.ledger:
        totals[line.rule] = totals.get(line.rule, 0.0) + line.points
    return totals


def compare(sets: Sequence[tuple[str, Outcome, SetFound]]) -> dict[str, Any]:
    """Return the document ``setsolver/comparison`` version 1 for named sets of outcomes.

    Each set's points by rule, frames with roles, and look; each pair's shared frames, frames of one only, the
    difference in points by rule (second minus first), and under ``warnings`` why these points compare badly: another
    brief, or another shoot.

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
        "sets": [_one(name, found) for name, _, found in sets],
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


def _pair(first: tuple[str, Outcome, SetFound], second: tuple[str, Outcome, SetFound]) -> dict[str, Any]:
    (name_a, made_a, a), (name_b, made_b, b) = first, second
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
        "warnings": _warnings(made_a, made_b),
    }


def _warnings(one: Outcome, other: Outcome) -> list[str]:
    """Return why points of two outcomes do not say which set is better."""
    says = []
    keys = differing_keys(one.brief, other.brief)
    if keys:
        shown = in_a_row(keys[:MOST_KEYS]) if len(keys) <= MOST_KEYS else f"{', '.join(keys[:MOST_KEYS])} and more"
        says.append(f"they were made for different briefs ({shown}): their points are not of one measure")
    if Path(one.catalog).absolute() != Path(other.catalog).absolute():  # each as it was typed, from the folder of today
        says.append(f"they come from different folders ({one.catalog}, {other.catalog}), perhaps different shoots")
    elif one.catalog_frames != other.catalog_frames:
        says.append(
            f"{one.catalog} held {one.catalog_frames} frames for one and {other.catalog_frames} for the other: points "
            "for variety and content are reckoned against all frames"
        )
    return says


def differing_keys(one: Mapping[str, Any], other: Mapping[str, Any], before: str = "") -> list[str]:
    """Return the keys of two briefs whose values differ, as "weights.tone"; words about a brief do not count."""
    found = []
    for key in {**one, **other}:
        first, second = one.get(key), other.get(key)
        if not before and key in ABOUT:
            continue
        if isinstance(first, dict) and isinstance(second, dict):
            found += differing_keys(first, second, f"{before}{key}.")
        elif first != second:
            found.append(f"{before}{key}")
    return found
