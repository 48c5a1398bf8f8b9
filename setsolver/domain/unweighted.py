"""The set problem before its weights: what each term gives by itself, so that a changed weight recuts nothing.

``score = sum over terms of weight * phi(set)``: a gain term gives 0 to 1 for each rendition in each role, an axis term
the units by which renditions may lie apart, a place term where renditions lie in content space. ``weigh`` multiplies,
once and last; ``domain.validate.phi`` says what a set is worth to each term, whatever the weights.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.problem import Floats, Ints, Problem

__all__ = ["Axis", "Place", "Unweighted"]


class Axis(NamedTuple):
    """One column of an axis term: value [M] of each rendition in the axis's own unit, slack and reach in the same.

    term : the term's name. name : of the axis. says : the axis in words. reach may be inf: apart as far as you like.
    """

    term: str
    name: str
    says: str
    value: Floats
    slack: float
    reach: float


class Place(NamedTuple):
    """Where a place term sees each rendition, [M, D]: sets earn mean squared distance."""

    term: str
    at: Floats


@dataclass(frozen=True, eq=False)
class Unweighted:
    """A problem without weights. M renditions, R roles, G group rows; frames, groups and wishes are ``Problem``'s.

    playable : bool[M, R]. gains : by term, [M, R], 0 to 1; what stands where a role cannot be played does not count.
    """

    size: int
    frame: Ints
    playable: NDArray[np.bool_]
    role_min: Ints
    role_max: Ints
    gains: Mapping[str, Floats] = field(default_factory=dict)
    axes: tuple[Axis, ...] = ()
    places: tuple[Place, ...] = ()
    group: Ints = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))
    group_cap: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    conflict: Ints = field(default_factory=lambda: np.zeros((0, 2), dtype=np.int64))
    include: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    exclude: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    def kept(self, weights: Mapping[str, float]) -> tuple[int, ...]:
        """Return the axes that matter under the weights: those that cost something, or that rule something out.

        Any other would only widen the engine's search for a look.
        """
        return tuple(
            at for at, axis in enumerate(self.axes) if weights.get(axis.term, 0.0) > 0 or np.isfinite(axis.reach)
        )

    def weigh(self, weights: Mapping[str, float]) -> Problem:
        """Return the problem under weights by term, points a unit; a term without one weighs nothing.

        Its tone axes are those ``kept``.

        Raises
        ------
        BadProblem
            Where the arrays do not fit together, or a weight is negative or no number.
        """
        axes = [self.axes[at] for at in self.kept(weights)]
        gain = np.where(self.playable, 0.0, np.nan)
        for term, part in self.gains.items():
            gain = gain + weights.get(term, 0.0) * np.where(self.playable, part, 0.0)
        place, variety = self._placed(weights)
        return Problem.from_arrays(
            {
                "size": self.size,
                "frame": self.frame,
                "gain": gain,
                "role_min": self.role_min,
                "role_max": self.role_max,
                "tone": np.array([axis.value for axis in axes]).reshape(len(axes), len(self.frame)).T,
                "tone_weight": [weights.get(axis.term, 0.0) for axis in axes],
                "tone_slack": [axis.slack for axis in axes],
                "tone_reach": [axis.reach for axis in axes],
                "place": place,
                "variety_weight": variety,
                "group": self.group,
                "group_cap": self.group_cap,
                "conflict": self.conflict,
                "include": self.include,
                "exclude": self.exclude,
            }
        )

    def _placed(self, weights: Mapping[str, float]) -> tuple[Floats, float]:
        """Return places [M, D] and their weight; several terms share one space, each stretched by its weight's root."""
        if len(self.places) == 1:
            return self.places[0].at, weights.get(self.places[0].term, 0.0)
        stretched = [np.sqrt(weights.get(place.term, 0.0)) * place.at for place in self.places]
        return np.concatenate([np.zeros((len(self.frame), 0)), *stretched], axis=1), 1.0
