"""The axes on which what CLIP's inner layers say is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

__all__ = ["LayerAxes"]


@dataclass(frozen=True, slots=True, eq=False)
class LayerAxes:
    """Principal axes of the class tokens of three layers, each standardised and of length 1.

    mean, deviation : float32[3, 768], of the tokens over the photographs at hand. centre : float32[2304], mean of their
    rows. axes : float32[2304, 128].
    """

    mean: NDArray[np.float32]
    deviation: NDArray[np.float32]
    centre: NDArray[np.float32]
    axes: NDArray[np.float32]

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, NDArray[np.floating]]) -> LayerAxes:
        """Return the axes from arrays by these names."""
        return cls(**{one.name: np.asarray(arrays[one.name], np.float32) for one in fields(cls)})

    def rows(self, classes: NDArray[np.floating]) -> NDArray[np.float32]:
        """Return the tokens of n frames, [n, 3, 768], standardised, of length 1 and side by side; float32[n, 2304]."""
        standard = ((classes - self.mean) / self.deviation).astype(np.float32)
        standard /= np.maximum(np.linalg.norm(standard, axis=2, keepdims=True), 1e-9)
        return standard.reshape(len(standard), -1)

    def at(self, classes: NDArray[np.floating]) -> NDArray[np.float32]:
        """Return where n frames lie on the axes; float32[n, 128]."""
        about = (self.rows(classes) - self.centre).astype(np.float32)
        turned: NDArray[np.float32] = about @ self.axes
        return turned
