"""A fitted head: standardised embeddings to odds of a few classes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Head"]


@dataclass(frozen=True, slots=True, eq=False)
class Head:
    """A calibrated multinomial logistic model on the square roots of pooled activations.

    The root evens out activations that fire rarely but strongly (power normalisation: Perronnin, Sanchez, Mensink,
    ECCV 2010). mean, deviation : float32[d], of the roots. weights : float32[d, k]. bias : float32[k]. temperature :
    divides the logits (Guo, Pleiss, Sun, Weinberger, "On calibration of modern neural networks", ICML 2017).
    """

    mean: NDArray[np.float32]
    deviation: NDArray[np.float32]
    weights: NDArray[np.float32]
    bias: NDArray[np.float32]
    temperature: float

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, NDArray[np.floating]], name: str) -> Head:
        """Return the head stored under ``name.mean``, ``name.deviation`` and so on."""
        parts = {key: np.asarray(arrays[f"{name}.{key}"], np.float32) for key in _ARRAYS}
        return cls(**parts, temperature=float(arrays[f"{name}.temperature"]))

    def arrays(self, name: str) -> dict[str, NDArray[np.floating]]:
        """Return the arrays that ``of_arrays`` reads."""
        stored = {f"{name}.{key}": getattr(self, key) for key in _ARRAYS}
        return {**stored, f"{name}.temperature": np.float32(self.temperature)}

    def odds(self, embeddings: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the odds of each class for embeddings [n, d]; float64[n, k], rows sum to 1."""
        root = np.sqrt(np.maximum(np.asarray(embeddings, np.float32), 0))
        logits = ((root - self.mean) / self.deviation) @ self.weights + self.bias
        return softmax(logits.astype(np.float64) / self.temperature)


_ARRAYS = ("mean", "deviation", "weights", "bias")


def softmax(logits: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return exp of each row over its sum; [n, k]."""
    raised = np.exp(logits - logits.max(axis=1, keepdims=True))
    odds: NDArray[np.float64] = raised / raised.sum(axis=1, keepdims=True)
    return odds
