"""The ledger: a set's score as lines in points that add up to it exactly, each with a sentence."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.outcome import LedgerLine
from setsolver.domain.rendition import TONE_AXES_IN_WORDS
from setsolver.domain.validate import Terms, score_terms
from setsolver.rules.assemble import GAINS
from setsolver.rules.assembly import Assembly
from setsolver.rules.variety import Variety
from setsolver.rules.words import count

__all__ = ["ledger"]


def ledger(
    assembly: Assembly, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]
) -> tuple[LedgerLine, ...]:
    """Return the score of a set as lines: gains by frame and rule, then variety, then tone by axis.

    Parameters
    ----------
    chosen, roles : rendition and role indexes [N] of the problem. look : [K], in the problem's axes.

    The lines add up to ``domain.validate.score_terms(...).score``.
    """
    terms = score_terms(assembly.problem, chosen, roles, look)
    return (
        *_gains(assembly, chosen, roles),
        *_variety(assembly, chosen, terms),
        *_tone(assembly, chosen, look, terms),
    )


def _gains(assembly: Assembly, chosen: Sequence[int], roles: Sequence[int]) -> list[LedgerLine]:
    lines = []
    for rule in GAINS:
        part = assembly.parts[rule.name]
        if not np.nan_to_num(part).any():
            continue  # a rule that pays nobody, such as rating in an unrated catalog, has nothing to say
        for row, role in zip(chosen, roles, strict=True):
            member = assembly.member(row, role)
            path = member.rendition.frame.path
            lines.append(
                LedgerLine(rule=rule.name, points=float(part[row, role]), frames=(path,), says=rule.says(member))
            )
    return lines


def _variety(assembly: Assembly, chosen: Sequence[int], terms: Terms) -> list[LedgerLine]:
    if len(chosen) < 2:
        return []
    paths = [assembly.renditions[row].frame.path for row in chosen]
    upper = np.triu_indices(len(chosen), 1)
    place = assembly.problem.place[np.asarray(chosen)]
    apart = ((place[upper[0]] - place[upper[1]]) ** 2).sum(axis=1)
    closest = int(apart.argmin())
    first, second = paths[upper[0][closest]], paths[upper[1][closest]]
    says = Variety().says(float(apart.mean()), first, second)
    return [LedgerLine(rule="variety", points=float(terms.variety.sum()), frames=(first, second), says=says)]


def _tone(assembly: Assembly, chosen: Sequence[int], look: Sequence[float], terms: Terms) -> list[LedgerLine]:
    lines = []
    for index, axis in enumerate(assembly.axes):
        effort = terms.effort[:, index]
        away = assembly.problem.tone[np.asarray(chosen), index] - look[index]
        paths = [assembly.renditions[row].frame.path for row in chosen]
        says = _effort(axis, look[index], away, float(assembly.problem.tone_slack[index]), paths)
        paying = tuple(path for path, points in zip(paths, effort, strict=True) if points > 0)
        lines.append(LedgerLine(rule="tone", points=-float(effort.sum()) + 0.0, frames=paying, says=says))
    return lines


def _effort(axis: str, look: float, away: np.ndarray, slack: float, paths: list[str]) -> str:
    name = TONE_AXES_IN_WORDS[axis]
    beyond = int((np.abs(away) > slack).sum())
    if beyond == 0:
        return f"{name} {look:.0f}: all frames within {slack:g} of it"
    far = int(np.abs(away).argmax())
    return (
        f"{name} {look:.0f}: {count(beyond, 'frame')} beyond {slack:g} of it, "
        f"the furthest {paths[far]} by {away[far]:+.1f}"
    )
