"""Weights fitted to choices: a convex problem, since a set's score is linear in them.

A choice is a set that somebody preferred to another of the same shoot. The chance that A is preferred to B is
logistic(w . (phi(A) - phi(B)) / T), T the points for the odds to change e-fold (Bradley and Terry, Biometrika 1952,
with features; Train, Discrete Choice Methods, chapter 3; both from memory). The most likely weights are sought under a
prior about those that one starts from, none below 0: few choices move little, many move what they speak of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

__all__ = ["FOLDS", "Learned", "Move", "Preference", "agreement", "learn"]

Floats = NDArray[np.float64]

FREEDOM = 0.7
"""How far a weight may go, against itself, before it costs as much as a choice that is told wrongly by one e-fold."""
LEAST = 0.6
"""The same for a weight of 0, as a share of the temperature."""
FOLDS = 5
ENOUGH = 3
"""Shoots, or choices of one shoot, from which some can be left out to see how the rest tells them."""


class Preference(NamedTuple):
    """chosen, over : phi by term of the set preferred and of the other. size : frames a set. shoot : its name.

    worth : how much it counts beside a set that somebody chose over another with both before them, 0 to 1.
    """

    chosen: Mapping[str, float]
    over: Mapping[str, float]
    size: int
    shoot: str
    worth: float = 1.0


class Move(NamedTuple):
    """A weight by its term, before and after."""

    term: str
    before: float
    after: float


@dataclass(frozen=True)
class Learned:
    """weights : by term. moves : those that moved, the furthest first. told : share, 0 to 1, of the choices that the
    weights tell rightly. told_before : by those that it started from. left_out : share of choices told rightly by
    weights fitted without their shoot; None where there are too few.
    """  # noqa: D205 - one list of fields

    weights: dict[str, float]
    moves: tuple[Move, ...]
    told_before: float
    told: float
    left_out: float | None


def learn(preferences: Sequence[Preference], start: Mapping[str, float], temperature: float) -> Learned:
    """Return weights that tell the preferences as well as they can without going far from ``start``.

    Parameters
    ----------
    preferences : at least one. start : weights by term, points. temperature : points for each frame of a set by which
    the odds of a preference change e-fold.
    """
    terms = sorted(start)
    before = np.array([start[term] for term in terms], dtype=np.float64)
    apart = differences(preferences, terms) / temperature
    worth = np.array([one.worth for one in preferences], dtype=np.float64)
    free = _unopposed(apart)
    after = _fitted(apart[free], worth[free], before, temperature)
    moves = [Move(term, float(b), float(a)) for term, b, a in zip(terms, before, after, strict=True)]
    far = sorted(moves, key=lambda move: -abs(move.after - move.before) / max(move.before, temperature * LEAST))
    return Learned(
        weights={move.term: move.after for move in moves},
        moves=tuple(move for move in far if abs(move.after - move.before) > 0.01 * max(move.before, 0.1)),
        told_before=_told(apart @ before),
        told=_told(apart @ after),
        left_out=_left_out(preferences, apart, worth, before, temperature),
    )


def differences(preferences: Sequence[Preference], terms: Sequence[str]) -> Floats:
    """Return phi(chosen) - phi(over), a frame of the set: [P, T]."""
    rows = [
        [(one.chosen.get(term, 0.0) - one.over.get(term, 0.0)) / max(1, one.size) for term in terms]
        for one in preferences
    ]
    return np.array(rows, dtype=np.float64).reshape(len(preferences), len(terms))


def agreement(preferences: Sequence[Preference], weights: Mapping[str, float]) -> float:
    """Return the share, 0 to 1, of preferences whose chosen set scores more; a tie counts half."""
    terms = sorted(weights)
    return _told(differences(preferences, terms) @ np.array([weights[term] for term in terms]))


def _told(margins: Floats) -> float:
    return float(((margins > 0) + 0.5 * (margins == 0)).mean())


def _unopposed(apart: Floats) -> NDArray[np.bool_]:
    """Return which rows [P] have no reverse among the others: the two of a contradiction would only pull all to 0."""
    rows = [tuple(row) for row in apart.round(12).tolist()]
    back = Counter(tuple(-value for value in row) for row in rows)
    free = []
    for row in rows:
        opposed = back[row] > 0
        back[row] -= opposed
        free.append(not opposed)
    return np.array(free, dtype=bool)


def _fitted(apart: Floats, worth: Floats, start: Floats, temperature: float) -> Floats:
    free = np.where(start > 0, FREEDOM * start, LEAST * temperature)
    scaled, centre = apart * free, start / free

    def loss(at: Floats) -> tuple[float, Floats]:
        margins, away = scaled @ at, at - centre
        slope = -(scaled * (worth / (1.0 + np.exp(np.clip(margins, -700, 700))))[:, None]).sum(axis=0)
        return float((worth * np.logaddexp(0.0, -margins)).sum() + 0.5 * (away**2).sum()), slope + away

    found = minimize(loss, centre, jac=True, bounds=[(0.0, None)] * len(centre), method="L-BFGS-B")
    return np.asarray(found.x * free, dtype=np.float64)


def _left_out(
    preferences: Sequence[Preference], apart: Floats, worth: Floats, start: Floats, temperature: float
) -> float | None:
    """Return the share told rightly by weights fitted without the shoot, or without the choice where all are of one."""
    names = [one.shoot for one in preferences]
    groups = names if len(set(names)) >= ENOUGH else [str(number) for number in range(len(names))]
    if len(set(groups)) < ENOUGH:
        return None
    order = sorted(set(groups))
    fold = np.array([order.index(group) % FOLDS for group in groups])
    margins = np.zeros(len(groups))
    for out in np.unique(fold):
        rest, counts = apart[fold != out], worth[fold != out]
        free = _unopposed(rest)
        margins[fold == out] = apart[fold == out] @ _fitted(rest[free], counts[free], start, temperature)
    return _told(margins)
