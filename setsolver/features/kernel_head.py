"""A fitted head of another shape: odds by likeness to photographs of known class."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from setsolver.features.head import softmax

__all__ = ["KernelHead", "odds_of"]

LEAST = 0.02
"""Below it the regression's outputs say nothing: they may fall under 0."""


@dataclass(frozen=True, slots=True, eq=False)
class KernelHead:
    """Kernel ridge regression of classes with a Gaussian kernel, its outputs raised to a power for calibrated odds.

    The square roots of pooled activations (as in ``Head``) are standardised and turned onto the principal axes of the
    training table; what is said for a class is a sum over the table's photographs, each weighing exp(-squared
    distance). Odds are what is said, at least ``LEAST``, to a power fitted to sources left out, made to sum to 1.

    mean, deviation : float32[d], of the roots. axes : float32[d, m]. points : float32[n, m], the table's photographs on
    those axes, at the kernel's width. weights : float32[n, k]. bias : float32[k]. power : one
    number, float32[1].
    Source: C. Saunders, A. Gammerman, V. Vovk, "Ridge regression learning algorithm in dual variables", ICML 1998.
    """

    mean: NDArray[np.float32]
    deviation: NDArray[np.float32]
    axes: NDArray[np.float32]
    points: NDArray[np.float32]
    weights: NDArray[np.float32]
    bias: NDArray[np.float32]
    power: NDArray[np.float32]
    _lengths: NDArray[np.float32] = field(init=False)

    def __post_init__(self) -> None:
        """Square the points once: every frame is compared with all of them, most several times."""
        object.__setattr__(self, "_lengths", (self.points * self.points).sum(axis=1))

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, NDArray[np.floating]], name: str) -> KernelHead:
        """Return the head stored under ``name.mean``, ``name.axes`` and so on."""
        return cls(**{key: np.asarray(arrays[f"{name}.{key}"], np.float32) for key in _ARRAYS})

    def arrays(self, name: str) -> dict[str, NDArray[np.floating]]:
        """Return the arrays that ``of_arrays`` reads; the large ones in half precision."""
        return {f"{name}.{key}": getattr(self, key).astype(_ARRAYS[key]) for key in _ARRAYS}

    def odds(self, embeddings: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the odds of each class for embeddings [n, d]; float64[n, k], rows sum to 1."""
        root = np.sqrt(np.maximum(np.asarray(embeddings, np.float32), 0))
        at = ((root - self.mean) / self.deviation) @ self.axes
        apart = (at * at).sum(axis=1)[:, None] + self._lengths - 2 * at @ self.points.T
        said = np.exp(-np.maximum(apart, 0)) @ self.weights + self.bias
        return odds_of(said, float(self.power[0]))


def odds_of(said: NDArray[np.floating], power: float) -> NDArray[np.float64]:
    """Return odds from outputs of the regression [n, k], which lie about 0 to 1; float64[n, k], rows sum to 1."""
    return softmax(power * np.log(np.maximum(np.asarray(said, np.float64), LEAST)))


_ARRAYS = {
    "mean": np.float32,
    "deviation": np.float32,
    "axes": np.float16,
    "points": np.float16,
    "weights": np.float32,
    "bias": np.float32,
    "power": np.float32,
}
