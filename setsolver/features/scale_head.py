"""The fitted head that turns an embedding into odds of wide, medium and close."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import ScaleOdds

__all__ = ["ScaleHead"]


@dataclass(frozen=True, slots=True, eq=False)
class ScaleHead:
    """A calibrated multinomial logistic model on standardised inputs.

    mean, deviation : float32[d]. weights : float32[d, 3]. bias : float32[3]. temperature : divides the logits.
    """

    mean: NDArray[np.float32]
    deviation: NDArray[np.float32]
    weights: NDArray[np.float32]
    bias: NDArray[np.float32]
    temperature: float

    @classmethod
    def read(cls, path: Path) -> ScaleHead:
        """Read a head from an .npz of the fields' names."""
        with np.load(path) as data:
            parts = {name: data[name].astype(np.float32) for name in ("mean", "deviation", "weights", "bias")}
            return cls(**parts, temperature=float(data["temperature"]))

    def odds(self, inputs: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return odds of wide, medium and close for inputs [n, d]; float64[n, 3], rows sum to 1."""
        standard = (np.asarray(inputs, np.float32) - self.mean) / self.deviation
        logits = (standard @ self.weights + self.bias).astype(np.float64) / self.temperature
        raised = np.exp(logits - logits.max(axis=1, keepdims=True))
        result: NDArray[np.float64] = raised / raised.sum(axis=1, keepdims=True)
        return result

    def of(self, inputs: NDArray[np.floating]) -> list[ScaleOdds]:
        """Return the same as records."""
        return [ScaleOdds(*(float(p) for p in row)) for row in self.odds(inputs)]
