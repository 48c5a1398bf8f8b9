"""The set problem as plain arrays: everything the solver knows of a catalog and a brief.

Formula and file format stand in the README: choose ``size`` renditions of different
frames, a role for each, and a look; maximise gains plus variety minus tonal effort under caps, conflicts and reach.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Self

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.problem_check import KEYS, VARIETY_KINDS, Floats, Ints, normalised, wishes
from setsolver.errors import BadProblem

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["VARIETY_KINDS", "Floats", "Ints", "Problem"]


@dataclass(frozen=True, eq=False)
class Problem:
    """One problem, checked and normalised. M renditions, R roles, K tone axes, D place axes, G group rows.

    Attributes
    ----------
    size : number of renditions to choose, N >= 1.
    frame : int64[M], which frame each rendition is of; any non-negative ids.
    gain : float64[M, R], points for playing a role; NaN = cannot play it.
    role_min, role_max : int64[R], least and most of each role.
    tone : float64[M, K]; tone_weight, tone_slack, tone_reach : float64[K], all >= 0; reach may be inf.
    place : float64[M, D], position in content space; variety_weight : points per mean distance, >= 0.
    variety_kind : "squared" or "euclidean".
    group : int64[G, M], label or -1 for "in no group"; group_cap : int64[G].
    conflict : int64[P, 2], pairs of frame ids that may not both be in.
    include, exclude : int64[], frame ids that must be in, must be out.
    """

    size: int
    frame: Ints
    gain: Floats
    role_min: Ints
    role_max: Ints
    tone: Floats
    tone_weight: Floats
    tone_slack: Floats
    tone_reach: Floats
    place: Floats
    variety_weight: float
    variety_kind: str
    group: Ints
    group_cap: Ints
    conflict: Ints
    include: Ints
    exclude: Ints

    @classmethod
    def keys(cls) -> tuple[str, ...]:
        """Names of all arrays, in the order of the file format."""
        return KEYS

    @classmethod
    def from_arrays(cls, given: Mapping[str, Any]) -> Self:
        """Build a problem from loose arrays; a missing key means "no such rule".

        Raises
        ------
        BadProblem
            With the key and the index: unknown or missing keys, lengths that do not fit, NaN or infinite numbers,
            negative caps, weights or sizes, a frame both included and excluded, more needed than there is.
        """
        return cls(**normalised(given))

    def to_arrays(self) -> dict[str, NDArray[Any]]:
        """Return the arrays of the file format."""
        return {key: np.asarray(getattr(self, key)) for key in self.keys()}

    @property
    def renditions(self) -> int:
        """M, the number of renditions."""
        return len(self.frame)

    def replaced(self, **changes: Any) -> Self:
        """Return a checked copy with some arrays changed.

        Raises
        ------
        BadProblem
            As ``from_arrays``; also for a key that does not exist.
        """
        unknown = sorted(set(changes) - set(self.keys()))
        if unknown:
            raise BadProblem(f"{unknown[0]!r} is not a key of a problem; the keys are {', '.join(self.keys())}")
        return self.from_arrays({**self.to_arrays(), **changes})

    def wished(self, include: Ints, exclude: Ints) -> Self:
        """Return a copy in which other frames must be in and out. Raises BadProblem as ``from_arrays``."""
        found = wishes({"include": include, "exclude": exclude}, {"size": self.size, "frame": self.frame})
        return replace(self, include=found["include"], exclude=found["exclude"])

    def take(self, renditions: Ints, **changes: Any) -> Self:
        """Return the problem of some renditions by index [m], in this order; rules about frames that go, go with them.

        Parameters
        ----------
        changes : arrays changed along with it, as in ``replaced``.

        Raises
        ------
        BadProblem
            Where fewer frames are left than the set needs.
        """
        rows = np.asarray(renditions, dtype=np.int64)
        frame = self.frame[rows]
        arrays: dict[str, Any] = {
            **{key: getattr(self, key)[rows] for key in ("gain", "tone", "place")},
            "frame": frame,
            "group": self.group[:, rows],
            "conflict": self.conflict[np.isin(self.conflict, frame).all(axis=1)],
            "include": np.intersect1d(self.include, frame),
            "exclude": np.intersect1d(self.exclude, frame),
        }
        return self.replaced(**arrays | changes)

    def append(self, gain: Floats, tone: Floats, place: Floats, frame: Ints | None = None, **changes: Any) -> Self:
        """Return the problem with further renditions, in no group: gain [m, R], tone [m, K], place [m, D].

        Parameters
        ----------
        frame : [m] ids; None = frames of their own, numbered after the last.
        changes : arrays changed along with it, as in ``replaced``.

        Raises
        ------
        BadProblem
            As ``from_arrays``.
        """
        if frame is None:
            frame = int(self.frame.max(initial=-1)) + 1 + np.arange(len(gain))
        arrays: dict[str, Any] = {
            "gain": np.concatenate([self.gain, gain]),
            "tone": np.concatenate([self.tone, tone]),
            "place": np.concatenate([self.place, place]),
            "frame": np.concatenate([self.frame, frame]),
            "group": np.pad(self.group, ((0, 0), (0, len(gain))), constant_values=-1),
        }
        return self.replaced(**arrays | changes)
