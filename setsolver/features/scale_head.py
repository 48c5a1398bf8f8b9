"""The fitted regression of shot scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Self

import numpy as np
from numpy.typing import NDArray

from setsolver.features.appeal_head import unit_rows
from setsolver.features.kernel_head import odds_of

__all__ = ["Landmarks", "ScaleHead", "roots"]

Part = NDArray[np.floating]


def roots(embeddings: Part) -> NDArray[np.float64]:
    """Return square roots of pooled activations, which evens out those that fire rarely but strongly (see ``Head``)."""
    values: NDArray[np.float64] = np.sqrt(np.maximum(np.asarray(embeddings, np.float64), 0))
    return values


@dataclass(frozen=True, slots=True, eq=False)
class Landmarks:
    """Photographs by which others are told, and how near one lies to each.

    A frame lies where its parts say: each about its mean over the training table and of length 1, times the root of its
    share, turned onto the table's principal axes. Nearness is exp(-squared distance).

    means : float32[d], of all parts side by side. sizes : how many numbers each part has, float32[p]. shares :
    float32[p]. axes : [d, m]. points : [n, m].
    """

    means: NDArray[np.float32]
    sizes: NDArray[np.float32]
    shares: NDArray[np.float32]
    axes: NDArray[np.float32]
    points: NDArray[np.float32]
    _lengths: NDArray[np.float32] = field(init=False)

    def __post_init__(self) -> None:
        """Square the points once: every frame is compared with all of them."""
        object.__setattr__(self, "_lengths", (self.points * self.points).sum(axis=1))

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, Part], name: str) -> Self:
        """Return the landmarks stored under ``name.means``, ``name.axes`` and so on."""
        return cls(
            **{one.name: np.asarray(arrays[f"{name}.{one.name}"], np.float32) for one in fields(cls) if one.init}
        )

    def arrays(self, name: str) -> dict[str, Part]:
        """Return the arrays that ``of_arrays`` reads; the large ones in half precision."""
        kinds = {"axes": np.float16, "points": np.float16}
        every = [one.name for one in fields(self) if one.init]
        return {f"{name}.{one}": getattr(self, one).astype(kinds.get(one, np.float32)) for one in every}

    def rows(self, parts: Sequence[Part]) -> NDArray[np.float64]:
        """Return the parts of n frames, [n, size] each, side by side before they are turned; float64[n, d]."""
        means = np.split(self.means, np.cumsum(self.sizes[:-1]).astype(int))
        scaled = zip(parts, means, self.shares, strict=True)
        return np.hstack([unit_rows(part, mean) * np.sqrt(share) for part, mean, share in scaled])

    def nearness(self, parts: Sequence[Part]) -> NDArray[np.float32]:
        """Return how near n frames lie to each point, 0 to 1; float32[n, points]."""
        at = self.rows(parts).astype(np.float32) @ self.axes
        apart = (at * at).sum(axis=1)[:, None] + self._lengths - 2 * at @ self.points.T
        near: NDArray[np.float32] = np.exp(-np.maximum(apart, 0))
        return near


@dataclass(frozen=True, slots=True, eq=False)
class ScaleHead:
    """Kernel ridge regression of classes (see ``KernelHead``) on what two networks say, or on what one says.

    small : landmarks in the roots of EfficientNet-Lite0's embeddings of the frame and of its inner view. both : in
    these, CLIP's embedding, the mean of its places, and their mean over the inner view. small_weights, both_weights :
    float32[n, 3], together. alone_weights : float32[n, 3], of ``small`` where CLIP was left for later. bias, power :
    float32[2, 3] and float32[2], of both networks and of one.
    """

    small: Landmarks
    both: Landmarks
    small_weights: NDArray[np.float32]
    both_weights: NDArray[np.float32]
    alone_weights: NDArray[np.float32]
    bias: NDArray[np.float32]
    power: NDArray[np.float32]

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, Part]) -> Self:
        """Return the head from what ``arrays`` returned."""
        rest = {name: np.asarray(arrays[name], np.float32) for name in _REST}
        return cls(Landmarks.of_arrays(arrays, "small"), Landmarks.of_arrays(arrays, "both"), **rest)

    def arrays(self) -> dict[str, Part]:
        """Return what ``of_arrays`` reads."""
        return self.small.arrays("small") | self.both.arrays("both") | {name: getattr(self, name) for name in _REST}

    def odds(self, lite: Part, inner: Part, clip: Sequence[Part] | None) -> NDArray[np.float64]:
        """Return odds of wide, medium and close; float64[n, 3], rows sum to 1.

        Parameters
        ----------
        lite, inner : [n, 1280], EfficientNet-Lite0's embeddings. clip : CLIP's embedding [n, 512], mean of places
            [n, 768], and mean of the inner view's places [n, 768]; None where it was left for later.
        """
        small = [roots(lite), roots(inner)]
        near = self.small.nearness(small)
        if clip is None:
            return odds_of(near @ self.alone_weights + self.bias[1], float(self.power[1]))
        said = near @ self.small_weights + self.both.nearness([*small, *clip]) @ self.both_weights + self.bias[0]
        return odds_of(said, float(self.power[0]))


_REST = ("small_weights", "both_weights", "alone_weights", "bias", "power")
